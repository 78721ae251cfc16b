// Files that the program makes, and the page Patterns that hands them out, as the tests look at them.

export const COMMISSIONS = ["Heron", "Sandpiper", "Bittern", "Avocet"];

export const note = (page) => page.locator("#words .not-done").allInnerTexts().then((all) => all.join(" "));
export const place = (page) => page.locator(".strip .pointed strong").allTextContents().then((all) => all.join(" ").replace(/\s+/g, " "));
export const sheets = async (page) => parseInt(await page.locator("#sheets summary").textContent(), 10);
export const comeNow = (page) => page.locator("#programs[data-come]").waitFor({ timeout: 30_000 });
export const passes = (page, work) => page.locator("#programs tbody tr", { hasText: work }).locator("td").nth(1).innerText().then(Number);

/** Opens the fold whose line has these words, as a maker does. */
export const unfold = (page, words) => page.locator("summary", { hasText: words }).first().click();
export const PRINTER = "Paper and printer";
export const KEPT_TO = "What the programs keep to";
export const TOOLS = "Bodies of tools";

export async function open(shop, { title = "Heron", address = "patterns", copied = true, ...options } = {}) {
  const commission = copied ? await shop.copy(title) : await shop.entry(title);
  const page = await shop.window(options);
  await page.goto(`${shop.base}${commission}/${address}`);
  return { commission, page };
}

/** A commission that is cut with a kit of its own. */
export async function withKit(shop, title = "Heron") {
  const [commission, kit] = [await shop.copy(title), await shop.copy("North bench")];
  await shop.post(`${commission}/kit`, { kit: kit.split("/").pop() });
  return { commission, kit };
}

/** The moment that a form of a page builds on. */
const moment = async (shop, address) => (await shop.text(address)).match(/name="based_on" value="(\d+)"/)[1];

/** Stores a whole text, changed. */
export async function rewrite(shop, entry, change) {
  const address = entry.includes("/kit/") ? entry : `${entry}/text`;
  const shown = await shop.text(address);
  const text = shown.match(/<textarea[^>]*>([^]*?)<\/textarea>/)[1].replaceAll("&quot;", '"').replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&amp;", "&");
  const changed = change(text);
  if (changed === text) throw new Error("the text is not changed");
  const answer = await shop.post(`${entry}/text`, { text: changed, based_on: await moment(shop, address), page: "text", fret: 0, lane: 0 });
  if (answer.status !== 303) throw new Error(`the text is not taken: ${answer.status}`);
}

/** The printer is the whole book's, so that every test puts it back. */
export async function asItWas(shop, work) {
  try {
    await work();
  } finally {
    const answer = await keep(shop, {});
    if (answer.status !== 303) throw new Error("the printer is not put back");
  }
}

export async function keep(shop, { paper = "a4", short = "100 mm", long = "100 mm", pattern = "frets", fret = 0, lane = 0 }) {
  const commission = (await shop.entry("Heron")).split("/").pop();
  return shop.post("/printing", { commission, pattern, fret, lane, paper, short_bar: short, long_bar: long });
}

export async function fetched(shop, address) {
  const answer = await fetch(address.startsWith("http") ? address : shop.base + address);
  const bytes = Buffer.from(await answer.arrayBuffer());
  return { status: answer.status, kind: answer.headers.get("content-type"), name: answer.headers.get("content-disposition")?.match(/filename="([^"]*)"/)?.[1], bytes, text: bytes.toString("latin1") };
}

export function expectFile(file, { kind, begin, name }) {
  if (file.status !== 200) throw new Error(`${name}: status ${file.status}: ${file.text.replace(/<[^>]*>/g, " ").slice(0, 200)}`);
  if (file.kind !== kind) throw new Error(`${file.name}: ${file.kind} instead of ${kind}`);
  if (!name.test(file.name)) throw new Error(`${file.name} does not fit ${name}`);
  if (!begin.test(file.text.slice(0, 400))) throw new Error(`${file.name} begins ${JSON.stringify(file.text.slice(0, 60))}`);
}

// How files begin: ISO 32000 (PDF), SVG 1.1, the DXF reference's group codes, ISO 10303-21, PKWARE's
// note on zip archives; a binary STL tells its triangles' number after 80 bytes (common practice, no source).
export const BEGIN = { pdf: /^%PDF-1\.\d/, svg: /^(<\?xml[^>]*>\s*)?<svg[^>]* xmlns="http:\/\/www\.w3\.org\/2000\/svg"/, dxf: /^\s*(999\r?\n[^\n]*\n\s*)*0\r?\nSECTION\r?\n/, step: /^ISO-10303-21;/, zip: /^PK\x03\x04/, ngc: /^(%\s*)?\(/ };
export const KIND = { pdf: "application/pdf", svg: "image/svg+xml", dxf: "image/vnd.dxf", step: "model/step", "3mf": "model/3mf", stl: "model/stl", zip: "application/zip" };

/** Names in a zip's central directory (PKWARE's note, 4.3.12). */
export function names(bytes) {
  const found = [];
  for (let at = bytes.indexOf("PK\x01\x02", 0, "latin1"); at >= 0; at = bytes.indexOf("PK\x01\x02", at + 46, "latin1")) {
    found.push(bytes.toString("latin1", at + 46, at + 46 + bytes.readUInt16LE(at + 28)));
  }
  return found;
}
