// Looks things up in an index that lies beside the page; nothing is sent anywhere.
"use strict";
var glostSearch = (() => {
  const SHOWN = 60, RANKED = 300, FIRST = 3;
  const blocks = new Map(), parts = new Map(), asked = new Map();
  let index = null, firstYear = 0, years = "";

  const load = (file) => {
    if (!asked.has(file)) asked.set(file, new Promise((done) => {
      const script = document.createElement("script");
      script.src = file;
      script.onload = done;
      script.onerror = done;
      document.head.append(script);
    }));
    return asked.get(file);
  };
  const plain = (text) => text.toLowerCase().normalize("NFKD").replace(/\p{M}/gu, "").replace(/ß/g, "ss");
  const wordsOf = (text) => (plain(text).match(/[\p{L}\p{N}]+/gu) || []).map((word) => word.slice(0, 32));
  const partName = (key) => /^[\x00-\x7f]*$/.test(key) ? "w-" + key : "x-" + Array.from(key, (c) => c.codePointAt(0).toString(16)).join("-");
  const fetchParts = (fits) => Promise.all(index.parts.filter(fits).slice(0, 80).map((key) => load(partName(key) + ".js")));
  const numbers = (gaps) => {
    let at = 0;
    return gaps ? gaps.split(" ").map((gap) => (at += parseInt(gap, 36))) : [];
  };

  // How many letters must be changed, left out, put in or turned round; above `most`, most + 1.
  const apart = (one, other, most) => {
    if (Math.abs(one.length - other.length) > most) return most + 1;
    let before = null, last = Array.from({ length: other.length + 1 }, (_, i) => i);
    for (let i = 1; i <= one.length; i++) {
      const row = [i];
      for (let j = 1; j <= other.length; j++) {
        row[j] = Math.min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (one[i - 1] === other[j - 1] ? 0 : 1));
        if (i > 1 && j > 1 && one[i - 1] === other[j - 2] && one[i - 2] === other[j - 1]) row[j] = Math.min(row[j], before[j - 2] + 1);
      }
      if (Math.min(...row) > most) return most + 1;
      [before, last] = [last, row];
    }
    return last[other.length];
  };
  const rowsOf = function* () { for (const rows of parts.values()) yield* rows; };
  const note = (found, postings, named, said) => {
    const [names, rest] = postings.split("|");
    for (const [gaps, score] of [[names, named], [rest, said]])
      if (score) for (const number of numbers(gaps)) found.set(number, Math.max(found.get(number) || 0, score));
  };
  const inYear = (found, year) => {
    for (let at = 0; at < years.length; at += 4) {
      if (years[at] === ".") continue;
      const low = firstYear + parseInt(years.slice(at, at + 2), 36), high = firstYear + parseInt(years.slice(at + 2, at + 4), 36);
      if (low <= year && year <= high) found.set(at / 4, Math.max(found.get(at / 4) || 0, 1 + 4 / (1 + high - low)));
    }
  };
  // Everything that a word finds, with how well it fits.
  const matches = async (word) => {
    const found = new Map();
    await fetchParts((key) => word.startsWith(key) || key.startsWith(word));
    for (const [indexed, postings] of rowsOf())
      if (indexed === word) note(found, postings, 6, 2);
      else if (indexed.startsWith(word)) note(found, postings, 4, 1);
    let first = 0;
    for (const [, singular, plural, count] of index.kinds) {
      if ([singular, plural].some((name) => plain(name) === word)) for (let at = first; at < first + count; at++) found.set(at, Math.max(found.get(at) || 0, 0.5));
      first += count;
    }
    if (/^(1[5-9]|20)\d\d$/.test(word)) {
      await load("years.js");
      inYear(found, Number(word));
    }
    return found;
  };
  // The words of the index nearest to one that finds nothing.
  const nearest = async (word) => {
    if (word.length < 3 || /\d/.test(word)) return [];
    await fetchParts((key) => [word[0], word[1]].some((letter) => key.startsWith(letter)));
    let best = word.length < 5 ? 1 : 2, near = new Set();
    for (const [indexed] of rowsOf()) {
      const far = apart(word, indexed, best);
      if (far < best) near = new Set();
      if (far <= best) { best = far; near.add(indexed); }
    }
    return [...near].sort();
  };
  const orNearest = async (word, meant) => {
    const found = await matches(word);
    if (found.size) return found;
    for (const other of await nearest(word)) {
      meant.add(other);
      for (const [number, score] of await matches(other)) found.set(number, Math.max(found.get(number) || 0, score / 2));
    }
    return found;
  };
  const all = async (words, meant) => {
    const each = await Promise.all(words.map((word) => orNearest(word, meant)));
    const found = new Map();
    for (const [number, score] of each[0])
      if (each.every((other) => other.has(number))) found.set(number, each.reduce((sum, other) => sum + other.get(number), 0));
    return found;
  };
  // The same asked by the usual names of what the vocabulary calls otherwise too.
  const usual = (text) => {
    const said = ` ${wordsOf(text).join(" ")} `;
    const others = Object.keys(index.also).filter((other) => said.includes(` ${other} `)).sort((a, b) => b.length - a.length || (a < b ? -1 : 1));
    return others.slice(0, 4).map((other) => said.replace(` ${other} `, ` ${index.also[other]} `).trim().split(" "));
  };
  const kindOf = (number) => {
    let first = 0;
    for (const [order, kind] of index.kinds.entries()) {
      if (number < first + kind[3]) return order;
      first += kind[3];
    }
    return 0;
  };
  const look = async (text) => {
    const words = wordsOf(text), meant = new Set(), found = new Map();
    if (!words.length) return { found: [], meant };
    // A number with a sign in it is looked up as a whole, with and without the zeros that fill it up.
    const joined = plain(text).trim().split(/\s+/).filter((word) => /\d/.test(word) && /[-./]/.test(word)).map((word) => word.replace(/[^\p{L}\p{N}]+/gu, ""));
    const ways = [words, ...usual(text)];
    if (joined.length) ways.push([...joined, ...plain(text).trim().split(/\s+/).filter((word) => !(/\d/.test(word) && /[-./]/.test(word))).flatMap(wordsOf)]);
    for (const [order, way] of ways.entries())
      for (const [number, score] of await all(way, order ? new Set() : meant)) found.set(number, Math.max(found.get(number) || 0, score));
    const ranked = [...found].map(([number, score]) => ({ number, score: score - kindOf(number) / 50, kind: kindOf(number) }));
    ranked.sort((a, b) => b.score - a.score || a.number - b.number);
    return { found: ranked, meant };
  };
  const named = async (one) => {
    const block = Math.floor(one.number / index.block);
    await load(`block-${block}.js`);
    const [page, name, said] = blocks.get(block)[one.number % index.block];
    return Object.assign(one, { name, said, file: page.includes("/") ? page : `${index.kinds[one.kind][0]}/${page}.html` });
  };
  const bestFirst = async (found, text) => {
    const asked = wordsOf(text).join(" ");
    const some = await Promise.all(found.slice(0, RANKED).map(named));
    for (const one of some) {
      const own = wordsOf(one.name);
      one.score += (own.join(" ") === asked ? 20 : 0) - own.length / 40;
    }
    return some.sort((a, b) => b.score - a.score || a.name.localeCompare(b.name) || a.number - b.number);
  };

  const element = (tag, text, name) => {
    const made = document.createElement(tag);
    made.textContent = text;
    if (name) made.className = name;
    return made;
  };
  const item = (one) => {
    const made = document.createElement("li"), link = element("a", one.name);
    link.href = "../" + one.file;
    made.append(link, " ", element("span", index.kinds[one.kind][1], "about"));
    if (one.said) made.append(element("p", one.said, "snippet"));
    return made;
  };
  let turn = 0;
  const show = async (text, only) => {
    const mine = ++turn, told = document.getElementById("told"), list = document.getElementById("found"), narrow = document.getElementById("narrow");
    const { found, meant } = await look(text);
    const counts = new Map();
    for (const one of found) counts.set(one.kind, (counts.get(one.kind) || 0) + 1);
    const kept = only ? found.filter((one) => index.kinds[one.kind][0] === only) : found;
    const some = (await bestFirst(kept, text)).slice(0, SHOWN);
    if (mine !== turn) return;
    const near = meant.size ? ` Nothing is spelt so; found for ${[...meant].slice(0, FIRST).join(", ")}.` : "";
    told.textContent = !wordsOf(text).length ? "" : kept.length ? `${kept.length} found${kept.length > SHOWN ? `, the first ${SHOWN} shown` : ""}.${near}` : "No match. Try fewer words, the beginning of a word, or a list below.";
    list.replaceChildren(...some.map(item));
    const choices = [...counts].sort((a, b) => a[0] - b[0]).map(([order, count]) => {
      const [name, , many] = index.kinds[order], choice = element("button", `${many} ${count}`);
      choice.type = "button";
      choice.setAttribute("aria-pressed", String(name === only));
      choice.addEventListener("click", () => go(text, name === only ? "" : name));
      return choice;
    });
    narrow.replaceChildren(...(counts.size > 1 || only ? choices : []));
  };
  const go = (text, only) => {
    const state = new URLSearchParams();
    if (text) state.set("q", text);
    if (only) state.set("kind", only);
    const where = state.toString();
    // Pages opened from a disk may not be given other addresses in every browser.
    try { history.replaceState(null, "", where ? "?" + where : location.pathname); } catch { /* the page serves without */ }
    return show(text, only);
  };
  const start = async () => {
    const form = document.getElementById("find"), field = document.getElementById("words");
    if (!form) return;
    await load("about.js");
    form.hidden = false;
    const state = new URLSearchParams(location.search);
    field.value = state.get("q") || "";
    form.addEventListener("submit", (event) => { event.preventDefault(); go(field.value, ""); });
    field.addEventListener("input", () => go(field.value, ""));
    if (field.value) await show(field.value, state.get("kind") || "");
    field.focus();
  };
  document.addEventListener("DOMContentLoaded", start);
  return {
    about: (_, told) => { index = told; },
    years: (first, told) => { firstYear = first; years = told; },
    block: (at, lines) => blocks.set(at, lines),
    part: (key, rows) => parts.set(key, rows),
  };
})();
