# From version 0.2.0 of the vocabulary to 0.3.0, for the default graph and every named graph of a dataset.
#
# date -> sourceDate where a source is dated; date of an instant stays. A passage is dcterms:isPartOf its
# source; its oa:hasSource is the image that a box of its selector is cut from, where the selector names the
# file or one image alone is believed to show the source. The size of an image is not known to a query and is
# not written. It can be run again without harm.

PREFIX dcterms: <http://purl.org/dc/terms/>
PREFIX glost: <https://w3id.org/glost/ontology#>
PREFIX oa: <http://www.w3.org/ns/oa#>
PREFIX rdf: <http://www.w3.org/1999/02/22-rdf-syntax-ns#>

DELETE { ?s glost:date ?o } INSERT { ?s glost:sourceDate ?o }
WHERE { ?s glost:date ?o FILTER(!CONTAINS(STR(?s), "#")) } ;
DELETE { GRAPH ?g { ?s glost:date ?o } } INSERT { GRAPH ?g { ?s glost:sourceDate ?o } }
WHERE { GRAPH ?g { ?s glost:date ?o FILTER(!CONTAINS(STR(?s), "#")) } } ;

INSERT { GRAPH ?g { ?passage dcterms:isPartOf ?source } }
WHERE {
  GRAPH ?g {
    ?passage a glost:Passage ; oa:hasSource ?source
    FILTER NOT EXISTS { ?passage dcterms:isPartOf ?any }
  }
} ;
DELETE { GRAPH ?g { ?passage oa:hasSource ?source } } INSERT { GRAPH ?g { ?passage oa:hasSource ?image } }
WHERE {
  GRAPH ?g {
    ?passage dcterms:isPartOf ?source ; oa:hasSource ?source ; oa:hasSelector ?selector .
    ?selector rdf:value ?box
    FILTER(CONTAINS(STR(?box), "xywh="))
    OPTIONAL { ?selector glost:onImage ?file }
  }
  OPTIONAL {
    SELECT ?source (COUNT(DISTINCT ?shown) AS ?number) (SAMPLE(?shown) AS ?only)
    WHERE {
      GRAPH ?claim { ?source glost:image ?shown }
      FILTER(!CONTAINS(STR(?claim), "#"))
      FILTER NOT EXISTS { GRAPH ?record { ?claim glost:withdrawnByClaim ?by } }
    }
    GROUP BY ?source
  }
  BIND(CONCAT(STRBEFORE(STR(?passage), "passage/"), "images/") AS ?folder)
  BIND(IF(BOUND(?file), IRI(CONCAT(?folder, REPLACE(ENCODE_FOR_URI(?file), "%2F", "/"))),
       IF(BOUND(?number) && ?number = 1, ?only, ?source)) AS ?image)
  FILTER(?image != ?source)
}
