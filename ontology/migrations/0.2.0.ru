# From version 0.1.0 of the vocabulary to 0.2.0, for the default graph and every named graph of a dataset.
#
# partOf -> codePartOf, role -> roleHeld, withdrawnBy -> withdrawnByClaim; fuel -> firedWith where its
# text names a concept of the scheme of fuels, in whatever capitals, and else left as it is;
# dcterms:creator and dcterms:publisher, where they give a name and no agent, -> dc:creator and dc:publisher. It can be run again without harm.

PREFIX dc: <http://purl.org/dc/elements/1.1/>
PREFIX dcterms: <http://purl.org/dc/terms/>
PREFIX glost: <https://w3id.org/glost/ontology#>

DELETE { ?s glost:partOf ?o } INSERT { ?s glost:codePartOf ?o } WHERE { ?s glost:partOf ?o } ;
DELETE { GRAPH ?g { ?s glost:partOf ?o } } INSERT { GRAPH ?g { ?s glost:codePartOf ?o } }
WHERE { GRAPH ?g { ?s glost:partOf ?o } } ;

DELETE { ?s glost:role ?o } INSERT { ?s glost:roleHeld ?o } WHERE { ?s glost:role ?o } ;
DELETE { GRAPH ?g { ?s glost:role ?o } } INSERT { GRAPH ?g { ?s glost:roleHeld ?o } }
WHERE { GRAPH ?g { ?s glost:role ?o } } ;

DELETE { ?s glost:withdrawnBy ?o } INSERT { ?s glost:withdrawnByClaim ?o } WHERE { ?s glost:withdrawnBy ?o } ;
DELETE { GRAPH ?g { ?s glost:withdrawnBy ?o } } INSERT { GRAPH ?g { ?s glost:withdrawnByClaim ?o } }
WHERE { GRAPH ?g { ?s glost:withdrawnBy ?o } } ;

DELETE { ?s glost:fuel ?o } INSERT { ?s glost:firedWith ?fuel } WHERE {
  VALUES ( ?name ?fuel ) {
  ( "coal" <https://w3id.org/glost/fuel/coal> )
  ( "coke" <https://w3id.org/glost/fuel/coke> )
  ( "electricity" <https://w3id.org/glost/fuel/electricity> )
  ( "gas" <https://w3id.org/glost/fuel/gas> )
  ( "natural gas" <https://w3id.org/glost/fuel/natural-gas> )
  ( "oil" <https://w3id.org/glost/fuel/oil> )
  ( "producer gas" <https://w3id.org/glost/fuel/producer-gas> )
  ( "town gas" <https://w3id.org/glost/fuel/town-gas> )
  ( "wood" <https://w3id.org/glost/fuel/wood> ) }
  ?s glost:fuel ?o
  FILTER(LCASE(STR(?o)) = ?name)
} ;
DELETE { GRAPH ?g { ?s glost:fuel ?o } } INSERT { GRAPH ?g { ?s glost:firedWith ?fuel } } WHERE {
  VALUES ( ?name ?fuel ) {
  ( "coal" <https://w3id.org/glost/fuel/coal> )
  ( "coke" <https://w3id.org/glost/fuel/coke> )
  ( "electricity" <https://w3id.org/glost/fuel/electricity> )
  ( "gas" <https://w3id.org/glost/fuel/gas> )
  ( "natural gas" <https://w3id.org/glost/fuel/natural-gas> )
  ( "oil" <https://w3id.org/glost/fuel/oil> )
  ( "producer gas" <https://w3id.org/glost/fuel/producer-gas> )
  ( "town gas" <https://w3id.org/glost/fuel/town-gas> )
  ( "wood" <https://w3id.org/glost/fuel/wood> ) }
  GRAPH ?g { ?s glost:fuel ?o }
  FILTER(LCASE(STR(?o)) = ?name)
} ;

DELETE { ?s dcterms:creator ?o } INSERT { ?s dc:creator ?o } WHERE { ?s dcterms:creator ?o FILTER(isLiteral(?o)) } ;
DELETE { GRAPH ?g { ?s dcterms:creator ?o } } INSERT { GRAPH ?g { ?s dc:creator ?o } }
WHERE { GRAPH ?g { ?s dcterms:creator ?o FILTER(isLiteral(?o)) } } ;

DELETE { ?s dcterms:publisher ?o } INSERT { ?s dc:publisher ?o } WHERE { ?s dcterms:publisher ?o FILTER(isLiteral(?o)) } ;
DELETE { GRAPH ?g { ?s dcterms:publisher ?o } } INSERT { GRAPH ?g { ?s dc:publisher ?o } }
WHERE { GRAPH ?g { ?s dcterms:publisher ?o FILTER(isLiteral(?o)) } }
