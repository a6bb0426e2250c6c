// Looks words up in an index that lies beside the page; nothing is sent anywhere.
"use strict";
var glostSearch = (() => {
  const held = new Map(), waiting = new Map();
  let parts = [];
  const load = (file) => new Promise((done) => {
    const script = document.createElement("script");
    script.src = file;
    script.onload = done;
    script.onerror = done;
    document.head.append(script);
  });
  const name = (key) => /^[\x00-\x7f]*$/.test(key) ? "w-" + key : "x-" + Array.from(key, (c) => c.codePointAt(0).toString(16)).join("-");
  const wordsOf = (text) => text.toLowerCase().normalize("NFKD").replace(/\p{M}/gu, "").replace(/ß/g, "ss").match(/[\p{L}\p{N}]+/gu) || [];
  const partsOf = (word) => parts.filter((key) => word.startsWith(key) || key.startsWith(word));
  const fetchPart = (key) => {
    if (!waiting.has(key)) waiting.set(key, load(name(key) + ".js"));
    return waiting.get(key);
  };
  const matches = async (word) => {
    const keys = partsOf(word).slice(0, 60);
    await Promise.all(keys.map(fetchPart));
    const found = new Map();
    for (const key of keys)
      for (const [indexed, file, title, kind] of held.get(key) || [])
        if (indexed.startsWith(word)) {
          const score = indexed === word ? 2 : 1;
          if (!found.has(file) || found.get(file).score < score) found.set(file, { file, title, kind, score });
        }
    return found;
  };
  const look = async (text) => {
    const asked = wordsOf(text);
    if (!asked.length) return [];
    const each = await Promise.all(asked.map(matches));
    let all = [...each[0].values()];
    for (const other of each.slice(1)) all = all.filter((one) => other.has(one.file));
    for (const one of all) {
      const own = wordsOf(one.title);
      one.rank = each.reduce((sum, found) => sum + found.get(one.file).score, 0) + asked.filter((word) => own.includes(word)).length * 3 + (own.join(" ") === asked.join(" ") ? 20 : 0) - own.length / 100;
    }
    return all.sort((a, b) => b.rank - a.rank || a.title.localeCompare(b.title) || (a.file < b.file ? -1 : 1));
  };
  let turn = 0;
  const show = async (text) => {
    const mine = ++turn, told = document.getElementById("told"), list = document.getElementById("found");
    const all = await look(text);
    if (mine !== turn) return;
    const asked = wordsOf(text).length;
    told.textContent = !asked ? "" : all.length ? `${all.length} found${all.length > 60 ? ", the first 60 shown" : ""}` : "Nothing is called that; try the beginning of a word, or a list below.";
    list.replaceChildren(...all.slice(0, 60).map((one) => {
      const item = document.createElement("li"), link = document.createElement("a"), kind = document.createElement("span");
      link.href = "../" + one.file;
      link.textContent = one.title;
      kind.textContent = one.kind;
      kind.className = "about";
      item.append(link, kind);
      return item;
    }));
  };
  const start = async () => {
    await load("parts.js");
    const form = document.getElementById("find"), field = document.getElementById("words");
    form.hidden = false;
    form.addEventListener("submit", (event) => event.preventDefault());
    field.addEventListener("input", () => show(field.value));
    field.value = decodeURIComponent(location.hash.slice(1));
    if (field.value) show(field.value);
  };
  document.addEventListener("DOMContentLoaded", start);
  return { parts: (_, keys) => { parts = keys; }, part: (key, rows) => held.set(key, rows) };
})();
