# From version 0.1.0 of the vocabulary to 0.2.0, for the default graph and every named graph of a dataset.
#
# partOf -> codePartOf, role -> roleHeld, withdrawnBy -> withdrawnByClaim. It can be run again without harm.

PREFIX glost: <https://w3id.org/glost/ontology#>

DELETE { ?s glost:partOf ?o } INSERT { ?s glost:codePartOf ?o } WHERE { ?s glost:partOf ?o } ;
DELETE { GRAPH ?g { ?s glost:partOf ?o } } INSERT { GRAPH ?g { ?s glost:codePartOf ?o } }
WHERE { GRAPH ?g { ?s glost:partOf ?o } } ;

DELETE { ?s glost:role ?o } INSERT { ?s glost:roleHeld ?o } WHERE { ?s glost:role ?o } ;
DELETE { GRAPH ?g { ?s glost:role ?o } } INSERT { GRAPH ?g { ?s glost:roleHeld ?o } }
WHERE { GRAPH ?g { ?s glost:role ?o } } ;

DELETE { ?s glost:withdrawnBy ?o } INSERT { ?s glost:withdrawnByClaim ?o } WHERE { ?s glost:withdrawnBy ?o } ;
DELETE { GRAPH ?g { ?s glost:withdrawnBy ?o } } INSERT { GRAPH ?g { ?s glost:withdrawnByClaim ?o } }
WHERE { GRAPH ?g { ?s glost:withdrawnBy ?o } }
