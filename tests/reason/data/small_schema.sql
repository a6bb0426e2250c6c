-- prp-dom: ?x onShape ?y -> ?x a Piece
SELECT t0.s AS s FROM p_onShape t0

-- prp-rng: ?x onShape ?y -> ?y a Shape
SELECT t0.o AS s FROM p_onShape t0 WHERE t0.o >= 0

-- prp-ifp: ?x modelNumber ?z, ?y modelNumber ?z -> ?x sameAs ?y
SELECT t.k AS k, g.least AS x, t.value AS y FROM (SELECT o AS k, s AS value FROM p_modelNumber) t JOIN (SELECT k, min(value) AS least FROM (SELECT o AS k, s AS value FROM p_modelNumber) WHERE value >= 0 GROUP BY k HAVING count(*) > 1) g ON t.k = g.k WHERE value >= 0 AND t.value <> g.least

-- prp-symp: ?x sharesFlatwareWith ?y -> ?y sharesFlatwareWith ?x
SELECT t0.o AS s, t0.s AS o FROM p_sharesFlatwareWith t0 WHERE t0.o >= 0

-- prp-trp: ?x derivedFrom ?y, ?y derivedFrom ?z -> ?x derivedFrom ?z
SELECT t0.s AS s, t1.o AS o FROM p_derivedFrom t0, p_derivedFrom t1 WHERE t1.s = t0.o

-- prp-trp: ?x sharesFlatwareWith ?y, ?y sharesFlatwareWith ?z -> ?x sharesFlatwareWith ?z
SELECT t0.s AS s, t1.o AS o FROM p_sharesFlatwareWith t0, p_sharesFlatwareWith t1 WHERE t1.s = t0.o

-- prp-spo2: ?x onShape ?u1, ?u1 shapeOf ?y -> ?x madeBy ?y
SELECT t0.s AS s, t1.o AS o FROM p_onShape t0, p_shapeOf t1 WHERE t1.s = t0.o

-- prp-inv1: ?x madeBy ?y -> ?y made ?x
SELECT t0.o AS s, t0.s AS o FROM p_madeBy t0 WHERE t0.o >= 0

-- prp-inv2: ?x made ?y -> ?y madeBy ?x
SELECT t0.o AS s, t0.s AS o FROM p_made t0 WHERE t0.o >= 0

-- prp-key: ?x a Treatment, ?x number ?v1, ?x prefix ?v2, ?y number ?v1, ?y prefix ?v2, ?y a Treatment -> ?x sameAs ?y
SELECT DISTINCT t0.s AS x, t3.s AS y FROM a_Treatment t0, p_number t1, p_prefix t2, p_number t3, p_prefix t4, a_Treatment t5 WHERE t1.s = t0.s AND t2.s = t0.s AND t3.o = t1.o AND t4.s = t3.s AND t4.o = t2.o AND t5.s = t3.s AND t0.s < t3.s AND t0.s >= 0

-- cls-svf1: ?x sharesFlatwareWith ?y, ?y a Shape -> ?x a some sharesFlatwareWith Shape
SELECT t0.s AS s FROM p_sharesFlatwareWith t0, a_Shape t1 WHERE t1.s = t0.o

-- cax-sco: ?x a Pottery -> ?x a Agent
SELECT t0.s AS s FROM a_Pottery t0

-- cax-sco: ?x a Shared -> ?x a Shape
SELECT t0.s AS s FROM a_Shared t0

-- cax-eqc1: ?x a Shared -> ?x a some sharesFlatwareWith Shape
SELECT t0.s AS s FROM a_Shared t0

-- cax-eqc2: ?x a some sharesFlatwareWith Shape -> ?x a Shared
SELECT t0.s AS s FROM a_some_sharesFlatwareWith_Shape t0

-- eq-diff1: ?x sameAs ?y, ?x differentFrom ?y -> false
SELECT t1.s, t1.o FROM p_differentFrom t1 WHERE t1.s = t1.o

-- prp-irp: ?x derivedFrom ?x -> false
SELECT t0.s FROM p_derivedFrom t0 WHERE t0.o = t0.s

-- cls-nothing2: ?x a Nothing -> false
SELECT t0.s FROM a_Nothing t0

-- cax-dw: ?x a Shape, ?x a Treatment -> false
SELECT t0.s FROM a_Shape t0, a_Treatment t1 WHERE t1.s = t0.s
