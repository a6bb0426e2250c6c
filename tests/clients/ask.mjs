// Asks an endpoint with the npm package fetch-sparql-endpoint and prints what it read, as JSON.
import { SparqlEndpointFetcher } from "fetch-sparql-endpoint";

const [address, table, yes, statements, bad] = process.argv.slice(2);
const fetcher = new SparqlEndpointFetcher();

async function all(stream) {
  const found = [];
  for await (const each of stream) found.push(each);
  return found;
}

const rows = await all(await fetcher.fetchBindings(address, table));
const triples = await all(await fetcher.fetchTriples(address, statements));
let refused = "";
try {
  await all(await fetcher.fetchBindings(address, bad));
} catch (error) {
  refused = error.message;
}
console.log(
  JSON.stringify({
    rows: rows.map((row) => row.name.value),
    yes: await fetcher.fetchAsk(address, yes),
    subjects: triples.map((triple) => triple.subject.value),
    refused,
  }),
);
