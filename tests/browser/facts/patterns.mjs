// The page Patterns: paper, programs, bodies, jigs, and the kit's cutters behind them.
import { createRequire } from "node:module";
import { WIDTHS, becomes, quiet, type } from "../shop.mjs";
import { whole } from "./pages.mjs";

const AXE = createRequire(import.meta.url).resolve("axe-core/axe.min.js");
const COMMISSIONS = ["Heron", "Sandpiper", "Bittern", "Avocet"];
const PATTERNS = { "Fret pattern": "frets", Gauges: "gauges", "Beam track card": "beam", "Edge and slot depths": "depths", "Nut blank": "nut", "Saddle blank": "saddle", "Sled rails": "rails" };

export async function facts() {
  const all = {
    "every pattern is chosen by its link, with its picture and its files, and the place stays": chosen,
    "a pattern's link leads to the place pointed at last": pointedLast,
    "a stretch without a sled is named where the other's rails are shown": stretchWithout,
    "a flat board has straight rails and no swing arm, and a flat block": flatBoard,
    "where no rail can stand the pattern says so, and its files are not found": noRails,
    "patterns come as PDF, SVG and DXF": patternFiles,
    "bodies come as STEP, 3MF and STL, and unticked parts are left": bodyFiles,
    "everything comes as one zip": everything,
    "papers full of words are printed on the paper that is kept": wordPapers,
    "fewer sheets of larger paper, and one long page": sheetCount,
    "a pattern too large for the paper tells so in words": fewDrawn,
    "a bar that was fitted to the page is refused, nothing is kept, and what was typed stays": fittedBar,
    "what is no paper and what is no length are refused": noBar,
    "what the bars measure is kept, and shown again in a new window": barsKept,
    "without script the printer is kept and the programs come by their link": withoutScript,
    "programs come by themselves and are handed out as they are told": programs,
    "pointing does not begin the programs anew, and what is unfolded stays so": programsOnce,
    "a finer scallop takes more passes, and undo brings them back": scallop,
    "a clamp in the way is named with a way out, and the other programs are there": clamp,
    "slots narrower than every cutter are refused with both widths": narrowSlots,
    "holes and pockets are seen in their picture, as wide as they are": dotsSeen,
    "a chosen kit without cutters, one with faults, and no kit at all each say what to do": noCutters,
    "a body that cannot be made is refused in words that lead back": noBody,
    "what is not there is not found": notThere,
    "inches are followed": inches,
    "a cutter is added, changed and taken away, and undo brings it back": cutter,
    "a chip's limits the wrong way round are a fault in words": chipLimits,
    "a router's measure changes the jigs": router,
    "dots follow their diameter, and one too large is named and stays typed": dots,
    "the blank's measures are followed, and one too small is named": blank,
    "the keyboard reaches every scroller, fold, link and field": reaches,
    "on paper nothing is asked for, and no heading stands over nothing": printed,
  };
  for (const title of COMMISSIONS) {
    all[`${title}: with all unfolded axe finds nothing and nothing reaches past any window`] = (shop) => unfolded(shop, title);
  }
  all["the kit: with all unfolded axe finds nothing and nothing reaches past any window"] = (shop) => unfolded(shop, "North bench");
  return all;
}

const note = (page) => page.locator("#words .not-done").allInnerTexts().then((all) => all.join(" "));
const place = (page) => page.locator(".strip .pointed strong").allTextContents().then((all) => all.join(" ").replace(/\s+/g, " "));
const sheets = async (page) => parseInt(await page.locator("#sheets summary").textContent(), 10);
const comeNow = (page) => page.locator("#programs[data-come]").waitFor({ timeout: 30_000 });
const passes = (page, work) => page.locator("#programs tbody tr", { hasText: work }).locator("td").nth(1).innerText().then(Number);

async function open(shop, { title = "Heron", address = "patterns", copied = true, ...options } = {}) {
  const commission = copied ? await shop.copy(title) : await shop.entry(title);
  const page = await shop.window(options);
  await page.goto(`${shop.base}${commission}/${address}`);
  return { commission, page };
}

/** A commission that is cut with a kit of its own. */
async function withKit(shop, title = "Heron") {
  const [commission, kit] = [await shop.copy(title), await shop.copy("North bench")];
  await shop.post(`${commission}/kit`, { kit: kit.split("/").pop() });
  return { commission, kit };
}

/** The moment that a form of a page builds on. */
const moment = async (shop, address) => (await shop.text(address)).match(/name="based_on" value="(\d+)"/)[1];

/** Stores a whole text, changed. */
async function rewrite(shop, entry, change) {
  const address = entry.includes("/kit/") ? entry : `${entry}/text`;
  const shown = await shop.text(address);
  const text = shown.match(/<textarea[^>]*>([^]*?)<\/textarea>/)[1].replaceAll("&quot;", '"').replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&amp;", "&");
  const changed = change(text);
  if (changed === text) throw new Error("the text is not changed");
  const answer = await shop.post(`${entry}/text`, { text: changed, based_on: await moment(shop, address), page: "text", fret: 0, lane: 0 });
  if (answer.status !== 303) throw new Error(`the text is not taken: ${answer.status}`);
}

/** The printer is the whole book's, so that every test puts it back. */
async function asItWas(shop, work) {
  try {
    await work();
  } finally {
    const answer = await keep(shop, {});
    if (answer.status !== 303) throw new Error("the printer is not put back");
  }
}

async function keep(shop, { paper = "a4", short = "100 mm", long = "100 mm", pattern = "frets", fret = 0, lane = 0 }) {
  const commission = (await shop.entry("Heron")).split("/").pop();
  return shop.post("/printing", { commission, pattern, fret, lane, paper, short_bar: short, long_bar: long });
}

async function fetched(shop, address) {
  const answer = await fetch(address.startsWith("http") ? address : shop.base + address);
  const bytes = Buffer.from(await answer.arrayBuffer());
  return { status: answer.status, kind: answer.headers.get("content-type"), name: answer.headers.get("content-disposition")?.match(/filename="([^"]*)"/)?.[1], bytes, text: bytes.toString("latin1") };
}

function expectFile(file, { kind, begin, name }) {
  if (file.status !== 200) throw new Error(`${name}: status ${file.status}: ${file.text.replace(/<[^>]*>/g, " ").slice(0, 200)}`);
  if (file.kind !== kind) throw new Error(`${file.name}: ${file.kind} instead of ${kind}`);
  if (!name.test(file.name)) throw new Error(`${file.name} does not fit ${name}`);
  if (!begin.test(file.text.slice(0, 400))) throw new Error(`${file.name} begins ${JSON.stringify(file.text.slice(0, 60))}`);
}

// How files begin: ISO 32000 (PDF), SVG 1.1, the DXF reference's group codes, ISO 10303-21, PKWARE's
// note on zip archives; a binary STL tells its triangles' number after 80 bytes (common practice, no source).
const BEGIN = { pdf: /^%PDF-1\.\d/, svg: /^(<\?xml[^>]*>\s*)?<svg[^>]* xmlns="http:\/\/www\.w3\.org\/2000\/svg"/, dxf: /^\s*(999\r?\n[^\n]*\n\s*)*0\r?\nSECTION\r?\n/, step: /^ISO-10303-21;/, zip: /^PK\x03\x04/, ngc: /^(%\s*)?\(/ };
const KIND = { pdf: "application/pdf", svg: "image/svg+xml", dxf: "image/vnd.dxf", step: "model/step", "3mf": "model/3mf", stl: "model/stl", zip: "application/zip" };

async function chosen(shop) {
  const { page } = await open(shop, { copied: false, address: "patterns?fret=7&lane=2" });
  const pictures = new Set();
  for (const [name, word] of Object.entries(PATTERNS)) {
    await page.getByRole("link", { name, exact: true }).click();
    await page.locator("nav[aria-label=Pattern] a[aria-current]", { hasText: name }).waitFor();
    if (await page.locator("nav[aria-label=Pattern] a[aria-current]").count() !== 1) throw new Error("two patterns are current");
    if (await place(page) !== "fret 7 string 3 G3") throw new Error(`${name}: the place is now ${await place(page)}`);
    const scene = page.locator("#on-paper figure.picture svg").first();
    pictures.add(await scene.locator("> title").textContent());
    if (!(await scene.locator("> desc").textContent()).trim()) throw new Error(`${name}: not told to those who cannot see it`);
    const files = await page.locator("p.files").first().locator("a").evaluateAll((all) => all.map((link) => link.getAttribute("href")));
    for (const ending of ["pdf", "svg", "dxf"]) {
      if (!files.some((address) => address.endsWith(`/pattern/${word}.${ending}`))) throw new Error(`${name}: no ${ending} among ${files}`);
    }
    if (!/\d+ mm by \d+ mm at true size/.test(await page.locator("#on-paper").innerText())) throw new Error(`${name}: its size is not told`);
  }
  if (pictures.size !== Object.keys(PATTERNS).length) throw new Error(`only ${[...pictures]}`);
  quiet(page);
}

async function pointedLast(shop) {
  const { page } = await open(shop, { copied: false, address: "patterns?fret=1&lane=0" });
  await page.locator("#plan").focus();
  for (const key of ["ArrowRight", "ArrowRight", "ArrowDown"]) await page.keyboard.press(key);
  await becomes(() => place(page), "fret 3 string 2 B3", "the strip");
  await page.getByRole("link", { name: "Gauges", exact: true }).click();
  await page.locator("nav[aria-label=Pattern] a[aria-current]", { hasText: "Gauges" }).waitFor();
  if (await place(page) !== "fret 3 string 2 B3") throw new Error(`the place is now ${await place(page)}`);
  await page.locator("#plan").focus();
  await page.keyboard.press("ArrowRight");
  await becomes(() => place(page), "fret 4 string 2 B3", "the strip");
  await page.getByRole("button", { name: "Keep for this printer" }).click();
  await page.waitForURL(/pattern=gauges&fret=4&lane=1/);
  quiet(page);
}

/** Avocet's far stretch tapers to a point near the nut: no rail stands there. */
async function stretchWithout(shop) {
  const { page } = await open(shop, { title: "Avocet", copied: false, address: "patterns?pattern=rails" });
  if (await page.locator("#on-paper figure.picture").count() !== 2) throw new Error("one stretch has two rails");
  if (!/None for the stretch 206\.7 mm to 397\.5 mm/.test(await page.locator("#on-paper").innerText())) throw new Error("the stretch without rails is not named");
  const jigs = await page.locator("#jigs").innerText();
  if (!/No sled and no swing arm: .*apex.*block and beam/.test(jigs)) throw new Error(`why is not told: ${jigs.match(/No sled.*/)}`);
  if (jigs.match(/Stretch \d/g).length !== 2) throw new Error("the stretches are not headed");
  await page.goto(`${shop.base}${await shop.entry("Sandpiper")}/patterns?pattern=rails`);
  if (await page.locator("#on-paper figure.picture").count() !== 4) throw new Error("two stretches have four rails");
  if (/None for the stretch/.test(await page.locator("#on-paper").innerText())) throw new Error("both stretches have rails");
}

async function flatBoard(shop) {
  const commission = await shop.copy("Sandpiper");
  await rewrite(shop, commission, (text) => text.replace('radius = "406 mm"', 'radius = "flat"').replace(/fall_away = .*\n/, ""));
  const page = await shop.window();
  await page.goto(`${shop.base}${commission}/patterns?pattern=rails`);
  if (await page.locator("#on-paper figure.picture").count() !== 2) throw new Error("a sled on straight rails has two of them");
  const edges = await page.locator("#jigs tr", { hasText: /before the nut|past the end/ }).locator("td:nth-child(4)").allInnerTexts();
  if (edges.join() !== "flat,flat") throw new Error(`the rails' edges are ${edges}`);
  if (!/No swing arm: a flat board has no axis/.test(await page.locator("#jigs").innerText())) throw new Error("why there is no arm is not told");
  for (const word of ["frets", "gauges", "beam", "depths", "nut", "saddle"]) {
    const answer = await page.goto(`${shop.base}${commission}/patterns?pattern=${word}`);
    if (answer.status() !== 200 || !await page.locator("#on-paper figure.picture").count()) throw new Error(`${word}: ${answer.status()}`);
  }
  await page.locator("form.made", { hasText: "A radius block" }).getByRole("button", { name: "STL" }).waitFor();
  const fields = await page.locator("form.made", { hasText: "A radius block" }).evaluate((form) => new URLSearchParams(new FormData(form)).toString());
  const block = await fetched(shop, `${commission}/body/block?${fields}&as=stl`);
  if (block.status !== 200) throw new Error(`a flat block: ${block.text.match(/Not done[^]*?<\/p>/)}`);
  const zip = await fetched(shop, `${commission}/all.zip`);
  if (zip.status !== 200) throw new Error(`all of a flat board: ${zip.status}`);
  await comeNow(page);
  quiet(page);
}

async function noRails(shop) {
  const { commission, kit } = await withKit(shop);
  const page = await shop.window();
  await page.goto(shop.base + kit);
  await type(page, "carriage-beyond", "2 mm");
  await becomes(() => page.locator("#field-carriage-beyond").inputValue(), "2 mm", "the field");
  await page.goto(`${shop.base}${commission}/patterns?pattern=rails`);
  if (await page.locator("#on-paper figure.picture").count()) throw new Error("rails stand in the cutter's reach");
  if (!/There is none for this board/.test(await page.locator("#on-paper").innerText())) throw new Error("nothing is told");
  if (!/No sled.*\d mm/.test(await page.locator("#jigs").innerText())) throw new Error("the jigs do not say why");
  for (const form of ["pdf", "svg", "dxf"]) {
    const rails = await fetched(shop, `${commission}/pattern/rails.${form}`);
    if (rails.status !== 404 || !/no use for that pattern/.test(rails.text)) throw new Error(`rails answer ${rails.status}`);
  }
  if ((await fetched(shop, `${commission}/all.zip`)).status !== 200) throw new Error("the others are no longer handed out");
  quiet(page);
}

async function patternFiles(shop) {
  for (const title of COMMISSIONS) {
    const commission = await shop.entry(title);
    for (const word of Object.values(PATTERNS)) {
      for (const form of ["pdf", "svg", "dxf"]) {
        const file = await fetched(shop, `${commission}/pattern/${word}.${form}`);
        // Rails are two drawings and more, which come as one archive.
        const wrapped = word === "rails" && form !== "pdf" ? "zip" : form;
        const name = wrapped === "zip" ? new RegExp(`^${title.toLowerCase()}-rails-${form}\\.zip$`) : new RegExp(`^${title.toLowerCase()}-${word}\\.${form}$`);
        expectFile(file, { kind: KIND[wrapped], begin: BEGIN[wrapped], name });
      }
    }
  }
}

async function bodyFiles(shop) {
  const { page } = await open(shop, { copied: false });
  const triangles = {};
  for (const name of ["The board", "A sanding caul of this camber", "A radius block", "A press caul"]) {
    const form = page.locator("form.made", { has: page.locator("strong", { hasText: name }) });
    const [action, fields] = await form.evaluate((each) => [each.action, new URLSearchParams(new FormData(each)).toString()]);
    for (const as of ["step", "3mf", "stl"]) {
      if (await form.locator(`button[value="${as}"]`).count() !== 1) throw new Error(`${name} has no button for ${as}`);
      const file = await fetched(shop, `${action}?${fields}${fields ? "&" : ""}as=${as}`);
      const begin = { step: BEGIN.step, "3mf": BEGIN.zip, stl: /[^]/ }[as];
      expectFile(file, { kind: KIND[as], begin, name: new RegExp(`^[a-z0-9-]+\\.${as}$`) });
      if (as === "stl") {
        triangles[name] = file.bytes.readUInt32LE(80);
        if (file.bytes.length !== 84 + 50 * triangles[name] || triangles[name] < 12) throw new Error(`${name}: ${triangles[name]} triangles in ${file.bytes.length} bytes`);
      }
    }
  }
  const board = page.locator("form.made", { hasText: "The board" });
  await board.getByLabel("slots").uncheck();
  const fields = await board.evaluate((each) => new URLSearchParams(new FormData(each)).toString());
  const [download] = await Promise.all([page.waitForEvent("download"), board.getByRole("button", { name: "STL" }).click()]);
  if (!/as=stl/.test(download.url()) || /slots/.test(download.url())) throw new Error(`it asks for ${download.url()}`);
  const plain = (await fetched(shop, `${await shop.entry("Heron")}/body/board?${fields}&as=stl`)).bytes.readUInt32LE(80);
  if (plain >= triangles["The board"]) throw new Error(`without slots ${plain} triangles, with them ${triangles["The board"]}`);
  quiet(page);
}

/** Names in a zip's central directory (PKWARE's note, 4.3.12). */
function names(bytes) {
  const found = [];
  for (let at = bytes.indexOf("PK\x01\x02", 0, "latin1"); at >= 0; at = bytes.indexOf("PK\x01\x02", at + 46, "latin1")) {
    found.push(bytes.toString("latin1", at + 46, at + 46 + bytes.readUInt16LE(at + 28)));
  }
  return found;
}

async function everything(shop) {
  for (const title of COMMISSIONS) {
    const { page } = await open(shop, { title, copied: false });
    const address = await page.getByRole("link", { name: "Everything as one zip" }).getAttribute("href");
    const file = await fetched(shop, address);
    expectFile(file, { kind: KIND.zip, begin: BEGIN.zip, name: new RegExp(`^${title.toLowerCase()}\\.zip$`) });
    const found = names(file.bytes);
    const wanted = [...["frets", "gauges", "beam", "depths", "nut", "saddle", "bench-plan", "reading-form", "set-up-sheet"].map((word) => `${word}.pdf`), "board.step", "board.3mf", "board.stl", "1-camber-rough.ngc", "2-camber-finish.ngc", "3-slots.ngc", "5-outline.ngc"];
    const missing = wanted.filter((name) => !found.includes(`${title.toLowerCase()}-${name}`));
    if (missing.length) throw new Error(`${title}: ${missing} missing among ${found}`);
    if (new Set(found).size !== found.length) throw new Error(`${title}: two files of one name`);
    if (!file.bytes.equals((await fetched(shop, address)).bytes)) throw new Error(`${title}: asked twice, it differs`);
    await page.close();
  }
}

/** A page's size in points, as PDF tells it: A4 by ISO 216 is 595 by 842, Letter 612 by 792. */
async function wordPapers(shop) {
  await asItWas(shop, async () => {
    for (const [paper, box] of [["a4", /MediaBox ?\[ ?0 0 595\.\d* 84[12]\.\d* ?\]/], ["letter", /MediaBox ?\[ ?0 0 612(\.0+)? 792(\.0+)? ?\]/]]) {
      await keep(shop, { paper });
      const { page } = await open(shop, { copied: false });
      const papers = await page.locator("p.files", { hasText: "Papers" }).locator("a").evaluateAll((all) => all.map((link) => [link.textContent, link.href]));
      if (papers.length !== 3) throw new Error(`papers: ${papers}`);
      for (const [name, address] of papers) {
        const file = await fetched(shop, address);
        if (file.status !== 200 || !BEGIN.pdf.test(file.text)) throw new Error(`${name}: ${file.status}`);
        if (!box.test(file.text)) throw new Error(`${name} on ${paper}: ${file.text.match(/MediaBox[^/]*/)}`);
      }
      await page.close();
    }
  });
}

async function sheetCount(shop) {
  await asItWas(shop, async () => {
    const { page } = await open(shop, { title: "Bittern", copied: false });
    const count = {};
    for (const [paper, name] of [["a4", "A4"], ["a3", "A3"], ["letter", "Letter"], ["tabloid", "Tabloid"], ["long", "one long page"]]) {
      await page.locator("form.printer select").selectOption(paper);
      await page.getByRole("button", { name: "Keep for this printer" }).click();
      await becomes(() => page.locator("#sheets summary").innerText(), (words) => words.endsWith(`, ${name}`), `sheets on ${name}`);
      if (!await page.getByRole("link", { name: `PDF for ${name}` }).count()) throw new Error(`the file is not for ${name}`);
      count[paper] = await sheets(page);
      const pdf = await fetched(shop, `${await shop.entry("Bittern")}/pattern/frets.pdf`);
      const pages = Number(pdf.text.match(/\/Type ?\/Pages[^]*?\/Count (\d+)/)?.[1] ?? pdf.text.match(/\/Count (\d+)/)?.[1]);
      if (pages !== count[paper]) throw new Error(`${name}: ${count[paper]} sheets are told, the file has ${pages}`);
    }
    if (!(count.a4 > count.a3 && count.a3 >= 1 && count.letter > count.tabloid && count.long === 1)) throw new Error(JSON.stringify(count));
    quiet(page);
  });
}

async function fewDrawn(shop) {
  await asItWas(shop, async () => {
    const commission = await shop.copy("Bittern");
    await rewrite(shop, commission, (text) => text.replace("frets = 24", "frets = 30"));
    const page = await shop.window();
    for (const word of Object.values(PATTERNS)) {
      await page.goto(`${shop.base}${commission}/patterns?pattern=${word}`);
      if (!await page.locator("#sheets").count()) {
        if (!/Not for this paper: .*\d mm/.test(await page.locator("#on-paper .not-done").innerText())) throw new Error(`${word}: no sheets and no word`);
        continue;
      }
      await page.locator("#sheets summary").click();
      const [told, drawn] = [await sheets(page), await page.locator("#sheets figure.sheet").count()];
      if (drawn !== Math.min(told, 8)) throw new Error(`${word}: ${drawn} of ${told} are drawn`);
      if (told > 8 && !(await page.locator("#sheets").innerText()).includes(`and ${told - 8} more`)) throw new Error(`${word}: the others are not told`);
    }
    quiet(page);
  });
}

async function fittedBar(shop) {
  await asItWas(shop, async () => {
    const { page } = await open(shop, { copied: false, address: "patterns?pattern=gauges&fret=5&lane=3" });
    await page.locator("[name=long_bar]").fill("84 mm");
    await page.locator("form.printer select").selectOption("a3");
    await page.getByRole("button", { name: "Keep for this printer" }).click();
    await becomes(() => note(page), /^Not done: the bar along the long side: .*measures 84\.0 mm.*90 to 110 mm.*at 100 %/, "what is said");
    if (await page.locator("[name=long_bar]").inputValue() !== "84 mm") throw new Error("what was typed is gone");
    if (await place(page) !== "fret 5 string 4 D3") throw new Error(`the place is now ${await place(page)}`);
    await page.reload();
    if (await page.locator("[name=long_bar]").inputValue() !== "100 mm" || await page.locator("form.printer select").inputValue() !== "a4") throw new Error("something is kept all the same");
    // The browser itself tells of an answer that is not 200; nothing else may be wrong.
    page.complaints = page.complaints.filter((words) => !/status of 400/.test(words));
    quiet(page);
  });
}

async function noBar(shop) {
  await asItWas(shop, async () => {
    for (const [asked, words] of [
      [{ short: "wide" }, /the bar along the short side: .*wide/], [{ long: "" }, /the bar along the long side: .*empty/], [{ short: "111 mm" }, /111\.0 mm/],
      [{ short: "NaN" }, /NaN/], [{ paper: "a9" }, /no such paper/], [{ short: "89.9" }, /89\.9 mm/],
    ]) {
      const answer = await keep(shop, asked);
      const said = await answer.text();
      if (answer.status !== 400 || !words.test(said)) throw new Error(`${JSON.stringify(asked)}: ${answer.status} ${said.replace(/<[^>]*>/g, " ").slice(0, 300)}`);
      if (!/href="\/commission\/\d+\/patterns\?pattern=frets/.test(said)) throw new Error("no way back");
    }
    const page = await shop.text(`${await shop.entry("Heron")}/patterns`);
    if ([...page.matchAll(/name="(?:short|long)_bar"[^>]*value="100 mm"/g)].length !== 2) throw new Error("something is kept all the same");
    for (const [short, shown] of [["90", "90 mm"], ["110 mm", "110 mm"], ["3.92 in", "99.568 mm"]]) {
      if ((await keep(shop, { short })).status !== 303) throw new Error(`${short} is refused`);
      if (!(await shop.text(`${await shop.entry("Heron")}/patterns`)).includes(`value="${shown}"`)) throw new Error(`${short} is not shown as ${shown}`);
    }
  });
}

async function barsKept(shop) {
  await asItWas(shop, async () => {
    const { page } = await open(shop, { copied: false, address: "patterns?pattern=frets" });
    const commission = await shop.entry("Heron");
    const true_ = (await fetched(shop, `${commission}/pattern/frets.pdf`)).text;
    const drawing = (await fetched(shop, `${commission}/pattern/frets.dxf`)).text;
    await page.locator("[name=short_bar]").fill("99.6 mm");
    await page.locator("[name=long_bar]").fill("100,3");
    await page.getByRole("button", { name: "Keep for this printer" }).click();
    await becomes(() => page.locator("[name=long_bar]").inputValue(), "100.3 mm", "the bar");
    const other = await shop.window();
    for (const title of ["Heron", "Avocet"]) {
      await other.goto(`${shop.base}${await shop.entry(title)}/patterns`);
      if (await other.locator("[name=short_bar]").inputValue() !== "99.6 mm") throw new Error(`${title}: ${await other.locator("[name=short_bar]").inputValue()}`);
    }
    if ((await fetched(shop, `${commission}/pattern/frets.pdf`)).text === true_) throw new Error("the print is not corrected");
    if ((await fetched(shop, `${commission}/pattern/frets.dxf`)).text !== drawing) throw new Error("a drawing for CAD follows a printer");
    quiet(page);
    quiet(other);
  });
}

async function withoutScript(shop) {
  await asItWas(shop, async () => {
    const { commission, page } = await open(shop, { javaScriptEnabled: false });
    await page.locator("form.printer select").selectOption("a3");
    await page.getByRole("button", { name: "Keep for this printer" }).click();
    if (!/A3$/.test(await page.locator("#sheets summary").innerText())) throw new Error("the paper is not kept");
    await page.locator("[name=short_bar]").fill("84");
    await page.getByRole("button", { name: "Keep for this printer" }).click();
    if (!/84\.0 mm/.test(await note(page))) throw new Error("the bar is not refused");
    await page.getByRole("link", { name: "Back to the patterns" }).click();
    await page.getByRole("link", { name: "Work out and prove the programs" }).click();
    await page.getByRole("heading", { name: "Programs" }).waitFor();
    if (await page.locator("#programs tbody tr").count() !== 5) throw new Error("five programs cut Heron");
    if (!await page.evaluate(() => [...document.styleSheets].length).catch(() => 1)) throw new Error("the page is bare");
    await page.getByRole("link", { name: "Back to the patterns" }).click();
    await page.locator("#field-cutting-scallop").fill("0.02 mm");
    await page.locator("form.field", { has: page.locator("#field-cutting-scallop") }).getByRole("button", { name: "Set" }).last().click();
    if (await page.locator("#field-cutting-scallop").inputValue() !== "0.02 mm") throw new Error("the field is not set");
    if (!/scallop = "0\.02 mm"/.test(await shop.stored(commission))) throw new Error("it is not stored");
  });
}

async function programs(shop) {
  for (const title of COMMISSIONS) {
    const { page } = await open(shop, { title, copied: false });
    await comeNow(page);
    const rows = await page.locator("#programs tbody tr").evaluateAll((all) => all.map((row) => [row.cells[0].innerText, row.cells[4].innerText, row.querySelector("a").href]));
    if (rows.length !== (title === "Avocet" ? 4 : 5)) throw new Error(`${title}: ${rows.length} programs: ${await page.locator("#programs").innerText()}`);
    for (const [work, deepest, address] of rows) {
      if (!(parseFloat(deepest) <= 1) || !deepest.endsWith(" µm")) throw new Error(`${work}: ${deepest} too deep`);
      const file = await fetched(shop, address);
      expectFile(file, { kind: "text/plain; charset=utf-8", begin: BEGIN.ngc, name: new RegExp(`^${title.toLowerCase()}-\\d-[a-z-]+\\.ngc$`) });
      // NISTIR 6556: G21 is millimetres; it must be said before the first number that is a length.
      if (!/^[^XYZ]*G21/m.test(file.text.replace(/\([^)]*\)/g, "")) || /\bG20\b/.test(file.text.replace(/\([^)]*\)/g, ""))) throw new Error(`${file.name} does not say millimetres first`);
    }
    quiet(page);
    await page.close();
  }
}

async function programsOnce(shop) {
  const commission = await shop.entry("Heron");
  const page = await shop.window();
  let begun = 0;
  await page.route("**/programs?*", async (route) => { begun += 1; await route.continue(); });
  await page.goto(`${shop.base}${commission}/patterns?fret=1&lane=0`);
  await comeNow(page);
  await page.locator("#programs summary").first().click();
  await page.locator("#sheets summary").click();
  for (const fret of [4, 9]) {
    await page.locator(`#plan [data-key="fret-${fret}"]`).hover();
    await becomes(() => place(page), new RegExp(`^fret ${fret} `), "the strip");
  }
  if (await page.locator("#programs details[open]").count() !== 1 || await page.locator("#sheets[open]").count() !== 1) throw new Error("it folds up while pointing");
  if (begun !== 1) throw new Error(`they were begun ${begun} times`);
  quiet(page);
}

async function scallop(shop) {
  const { page } = await open(shop);
  await comeNow(page);
  const before = await passes(page, "finishing of the camber");
  await type(page, "cutting-scallop", "0.004 mm");
  const after = async () => await page.locator("#programs[data-come]").count() ? passes(page, "finishing of the camber") : before;
  // A ball's scallop grows with the square of its step: 0.4 of it takes √2.5 times as many passes, and a
  // few more, because a share of every scallop is kept back for rounding.
  const finer = await becomes(after, (now) => now !== before, "passes of a finer finish");
  const expected = Math.sqrt(10 / 4) * (before - 1);
  if (finer < expected || finer > 1.05 * expected) throw new Error(`${before} passes became ${finer}`);
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(async () => await page.locator("#programs[data-come]").count() ? passes(page, "finishing of the camber") : finer, (now) => now === before, "passes after undo");
  await type(page, "cutting-scallop", "none");
  await page.locator(".faults").waitFor();
  if (!/cutting\.scallop/.test(await page.locator(".faults").innerText())) throw new Error(await page.locator(".faults").innerText());
  if (await page.locator("#field-cutting-scallop").inputValue() !== "none") throw new Error("what was typed is gone");
  quiet(page);
}

async function clamp(shop) {
  const { commission, page } = await open(shop, { address: "text" });
  // Beside a narrow blank stand a clamp so low that only the outline meets it, and one far off.
  const text = (await page.locator("textarea").inputValue()).replace("[board]", '[board]\nblank_width = "58 mm"');
  await page.locator("textarea").fill(`${text}\n[cutting]\nclamps = [\n  { x = "-60 mm", y = "60 mm", along = "10 mm", across = "10 mm", height = "20 mm" },\n  { x = "440 mm", y = "-40 mm", along = "20 mm", across = "10 mm", height = "1 mm" },\n]\n`);
  await page.getByRole("button", { name: /Store/ }).click();
  await page.goto(`${shop.base}${commission}/patterns`);
  if (await page.locator(".faults").count()) throw new Error(await page.locator(".faults").innerText());
  await comeNow(page);
  const refused = await page.locator("#programs .minded li").allInnerTexts();
  if (refused.length !== 1 || !/^outline — clamp 2 stands in the cutter's way at .* mm over the bed; move it [\d.]+ mm toward/.test(refused[0])) throw new Error(refused.join("\n"));
  const made = await page.locator("#programs tbody th").allInnerTexts();
  if (made.join() !== "roughing of the camber,finishing of the camber,fret slots,dots") throw new Error(`made: ${made}`);
  for (const [name, status] of [["1-camber-rough", 200], ["4-dots", 200], ["5-outline", 404]]) {
    const file = await fetched(shop, `${commission}/program/${name}.ngc`);
    if (file.status !== status) throw new Error(`${name} answers ${file.status}`);
  }
  // A tall one stands in the way of the first program, and all others wait for that.
  await rewrite(shop, commission, (all) => all.replace('height = "1 mm"', 'height = "25 mm"'));
  await page.reload();
  await comeNow(page);
  if (await page.locator("#programs tbody tr").count()) throw new Error("a program is cut through a clamp");
  if (!/roughing of the camber — clamp 2 stands.*\n.*finishing of the camber — it stands on the program before it/.test(await page.locator("#programs .minded").innerText())) throw new Error(await page.locator("#programs .minded").innerText());
  // Out of the way it hinders nothing.
  await rewrite(shop, commission, (all) => all.replace('y = "-40 mm", along', 'y = "-95 mm", along'));
  await page.reload();
  await comeNow(page);
  if (await page.locator("#programs .minded").count()) throw new Error(await page.locator("#programs .minded").innerText());
  quiet(page);
}

async function narrowSlots(shop) {
  const { commission, page } = await open(shop);
  await rewrite(shop, commission, (text) => text.replace('slot_width = "0.55 mm"', 'slot_width = "0.45 mm"').replace(/tang_width = .*\n/, ""));
  await page.goto(`${shop.base}${commission}/patterns`);
  await comeNow(page);
  const refused = await page.locator("#programs .minded").innerText();
  if (!/fret slots/.test(refused) || !/0\.45 mm/.test(refused) || !/0\.50 mm/.test(refused)) throw new Error(refused);
  const made = await page.locator("#programs tbody th").allInnerTexts();
  if (made.includes("fret slots") || !made.includes("finishing of the camber")) throw new Error(`made: ${made}`);
  quiet(page);
}

async function dotsSeen(shop) {
  for (const [title, diameter, cutter] of [["Heron", 6, 6], ["Sandpiper", 5, 3]]) {
    const { page } = await open(shop, { title, copied: false });
    await comeNow(page);
    await page.locator("summary", { hasText: "Pictures of the dots" }).click();
    const svg = page.locator("#picture-way-4-dots svg");
    const seen = await svg.evaluate((picture) => ({
      board: picture.querySelector("[data-layer=board]").getBBox().width,
      cuts: [...picture.querySelectorAll("[data-layer=cuts] path")].map((path) => path.getBBox().height),
    }));
    if (!seen.cuts.length) throw new Error(`${title}: nothing is cut in the picture`);
    // Heron's board is as long as its outline; the scale is taken from it. A hole is drawn as wide as its
    // cutter, a pocket as its cutter's centre goes.
    const length = title === "Heron" ? 635 * (1 - 2 ** (-22 / 12)) + 8 : 604 * (1 - 2 ** (-18 / 12)) + 6;
    const wide = Math.max(...seen.cuts) * length / seen.board;
    const expected = diameter === cutter ? cutter : diameter - cutter;
    if (Math.abs(wide - expected) > 0.1) throw new Error(`${title}: cuts ${wide.toFixed(2)} mm wide in the picture instead of ${expected}`);
    await page.close();
  }
}

async function noCutters(shop) {
  const { commission, kit } = await withKit(shop);
  const page = await shop.window();
  await rewrite(shop, kit, (text) => text.replace(/cutters = \[[^]*?\n\]\n/, ""));
  await page.goto(`${shop.base}${commission}/patterns`);
  const way = page.locator("#programs a");
  if (!/has no cutters yet/.test(await page.locator("#programs").innerText()) || !(await way.getAttribute("href")).startsWith(kit)) throw new Error(await page.locator("#programs").innerText());
  if (!await page.locator("#on-paper figure.picture").count() || !await page.locator("#bodies form").count()) throw new Error("paper and bodies need no cutter");
  await way.click();
  await page.getByRole("heading", { name: "Cutters" }).waitFor();
  await rewrite(shop, kit, (text) => `${text}\nnonsense = 1\n`);
  await page.goto(`${shop.base}${commission}/patterns`);
  if (!/has faults; mend it/.test(await page.locator("#programs").innerText())) throw new Error(await page.locator("#programs").innerText());
  await shop.post(`${commission}/kit`, { kit: "" });
  await page.reload();
  if (!/Without a kit.*Choose a kit/.test(await page.locator("#programs").innerText())) throw new Error(await page.locator("#programs").innerText());
  for (const address of ["programs", "program/3-slots.ngc"]) {
    const file = await fetched(shop, `${commission}/${address}`);
    if (file.status !== 404 || !/kit with cutters/.test(file.text)) throw new Error(`${address} answers ${file.status}`);
  }
  const zip = await fetched(shop, `${commission}/all.zip`);
  if (zip.status !== 200 || names(zip.bytes).some((name) => /\.ngc$|bench-plan/.test(name))) throw new Error("all of a commission without a kit");
  quiet(page);
}

async function noBody(shop) {
  const commission = await shop.entry("Heron");
  const usual = { near: "240", far: "400", length: "200", width: "70", height: "30", as: "stl" };
  const block = (change) => `body/block?${new URLSearchParams({ ...usual, ...change })}`;
  for (const [address, words] of [
    [block({ near: "1 mm" }), /radius is 1 mm; give one from 10/], [block({ width: "0" }), /width is 0 mm; give one from 1 to/], [block({ height: "-3" }), /height is -3 mm/],
    [block({ near: "typed" }), /the radius at one end: .*typed/], [block({ far: "" }), /the radius at the other end: .*empty/], [block({ near: "flat" }), /flat at both ends or hollow at both/],
    [block({ length: "9e99" }), /the length: /], [block({ width: "600 mm" }), /600|width|radius/], [block({ as: "obj" }), /step, 3mf or stl/],
    ["body/press?for=999&as=step", /no fret 999: give one from 1 to 22/], ["body/press?for=0&as=stl", /no fret 0/], ["body/press?for=first&as=stl", /first.* is no fret/], ["body/block?near=240", /lacks the field/],
  ]) {
    const file = await fetched(shop, `${commission}/${address}`);
    const said = file.text.replaceAll("&quot;", '"').replace(/<head>[^]*<\/head>/, "").replace(/<[^>]*>/g, " ");
    if (file.status !== 400 || !words.test(said)) throw new Error(`${address}: ${file.status} ${said.replace(/\s+/g, " ").slice(0, 300)}`);
    if (!file.text.includes(`href="${commission}/patterns"`)) throw new Error(`${address}: no way back to the page`);
    if (/\binf\b|NaN/.test(said)) throw new Error(`${address}: ${said}`);
  }
  const { page } = await open(shop, { copied: false });
  await page.locator("[name=near]").fill("1 mm");
  await page.locator("form.made", { hasText: "A radius block" }).getByRole("button", { name: "STEP" }).click();
  await becomes(() => note(page), /radius is 1 mm/, "what is said");
  await page.goBack();
  if (await page.locator("[name=near]").inputValue() !== "1 mm") throw new Error("going back loses what was typed");
}

async function notThere(shop) {
  const commission = await shop.entry("Heron");
  const kit = await shop.entry("North bench");
  for (const address of [`${commission}/pattern/frets.png`, `${commission}/pattern/wings.pdf`, `${commission}/pattern/frets`, `${commission}/body/bridge`, `${commission}/program/9-nothing.ngc`, `/commission/987654/patterns`, `/commission/987654/all.zip`, `/commission/987654/programs`, `/commission/${kit.split("/").pop()}/all.zip`, `/commission/${kit.split("/").pop()}/pattern/frets.pdf`, `${await shop.entry("Bittern")}/body/wing?as=stl`]) {
    const file = await fetched(shop, address);
    if (file.status !== 404 || !/<h1>/.test(file.text) || !/href="\//.test(file.text)) throw new Error(`${address} answers ${file.status}`);
  }
  // Sandpiper falls away: no caul as long as the board fits it.
  const caul = await fetched(shop, `${await shop.entry("Sandpiper")}/body/caul?as=stl`);
  if (caul.status !== 404 || !/no single cone/.test(caul.text)) throw new Error(`a caul of two cones: ${caul.status}`);
  const page = await shop.window();
  await page.goto(`${shop.base}${await shop.entry("Sandpiper")}/patterns?pattern=wings`);
  if (!/Fret pattern/.test(await page.locator("nav[aria-label=Pattern] a[aria-current]").innerText())) throw new Error("an unknown pattern shows none");
  if (!/no single cone/.test(await page.locator("#bodies").innerText())) throw new Error("the page does not say why there is no caul");
}

/** The unit is the whole book's, so that this test puts it back. */
async function inches(shop) {
  try {
    // A field takes no fraction with a rest, so that fields hold decimal inches in both.
    for (const unit of ["inch", "fraction"]) {
      await shop.post("/units", { unit, back: "/book" });
      const { page } = await open(shop, { title: "Heron", copied: false });
      await comeNow(page);
      const cells = await page.locator("#jigs td .number").allInnerTexts();
      const left = cells.filter((words) => / mm$/.test(words));
      if (left.length || !cells.length) throw new Error(`${unit}: ${cells.length} cells, still in mm: ${left}`);
      if (/\d mm by/.test(await page.locator("#on-paper").innerText())) throw new Error(`${unit}: the size is in mm`);
      for (const name of ["near", "far", "length", "width", "height"]) {
        const shown = await page.locator(`#bodies [name=${name}]`).inputValue();
        if (!/^\d+\.\d+ in$/.test(shown)) throw new Error(`${unit}: ${name} is ${shown}`);
      }
      // What is shown is taken as it is shown.
      const fields = await page.locator("form.made", { hasText: "A radius block" }).evaluate((form) => new URLSearchParams(new FormData(form)).toString());
      const block = await fetched(shop, `${await shop.entry("Heron")}/body/block?${fields}&as=stl`);
      if (block.status !== 200) throw new Error(`${unit}: the block answers ${block.status}`);
      if (await page.locator("[name=short_bar]").inputValue() !== "100 mm") throw new Error("the bar of 100 mm is 100 mm long in every unit");
      quiet(page);
      await page.close();
    }
  } finally {
    await shop.post("/units", { unit: "mm", back: "/book" });
  }
}

const cutters = (page) => page.locator("#cutters details");

async function cutter(shop) {
  const { commission, kit } = await withKit(shop);
  const page = await shop.window();
  await page.goto(shop.base + kit);
  await becomes(() => cutters(page).count(), 5, "cutters");
  await page.locator("#cutters").getByRole("button", { name: "Add one" }).click();
  await becomes(() => cutters(page).count(), 6, "cutters");
  if (await page.locator(".faults").count()) throw new Error(await page.locator(".faults").innerText());
  const added = cutters(page).nth(5);
  await added.locator("summary").click();
  await type(page, "cutters-6--name", "ball 10");
  await becomes(() => added.locator("summary").innerText(), "ball 10", "its name");
  if (!await added.locator("[open], #field-cutters-6--diameter").first().isVisible()) throw new Error("it folds up when something is changed");
  await type(page, "cutters-6--diameter", "10 mm");
  await becomes(() => page.locator("#field-cutters-6--diameter").inputValue(), "10 mm", "its diameter");
  const plan = await shop.window();
  await plan.goto(`${shop.base}${commission}/patterns`);
  await comeNow(plan);
  const finishing = () => plan.locator("#programs tbody tr", { hasText: "finishing of the camber" }).innerText().then((words) => words.replace(/\s+/g, " "));
  // A larger ball needs fewer passes for the same scallop, so that it is chosen.
  if (!/ball 10/.test(await finishing())) throw new Error(`it is not chosen: ${await finishing()}`);
  await added.getByRole("button", { name: "Take away" }).click();
  await becomes(() => cutters(page).count(), 5, "cutters after taking away");
  await plan.reload();
  await comeNow(plan);
  if (!/ball 6/.test(await finishing())) throw new Error(await finishing());
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => cutters(page).count(), 6, "cutters after undo");
  quiet(page);
  quiet(plan);
}

async function chipLimits(shop) {
  const { commission, kit } = await withKit(shop);
  const page = await shop.window();
  await page.goto(shop.base + kit);
  await cutters(page).first().locator("summary").click();
  await type(page, "cutters-1--chip_least", "0.2 mm");
  await page.locator(".faults").waitFor();
  const words = await page.locator(".faults").innerText();
  if (!/cutters\[1\]/.test(words) || !/0\.2/.test(words) || !/0\.08/.test(words)) throw new Error(words);
  if (await page.locator("#field-cutters-1--chip_least").inputValue() !== "0.2 mm") throw new Error("what was typed is gone");
  if (!/has faults; mend it/.test(await shop.text(`${commission}/patterns`))) throw new Error("the page Patterns does not say what it waits for");
  await type(page, "cutters-1--chip_least", "0.02 mm");
  await becomes(() => page.locator(".faults").count(), 0, "faults");
  // A chip outside of its limits is no fault of the kit: that cutter is passed over, in words.
  await type(page, "cutters-1--feed", "300");
  await becomes(() => page.locator("#field-cutters-1--feed").inputValue(), "300", "the feed");
  await page.goto(`${shop.base}${commission}/patterns`);
  await comeNow(page);
  if (!/ball 6 takes a chip of 0\.00\d+ mm.*0\.0200 to 0\.0800 mm/.test(await page.locator("#programs .minded").innerText())) throw new Error(await page.locator("#programs").innerText());
  quiet(page);
}

async function router(shop) {
  const { commission, kit } = await withKit(shop);
  const page = await shop.window();
  await page.goto(shop.base + kit);
  await type(page, "carriage-base", "80 mm");
  await becomes(() => page.locator("#field-carriage-base").inputValue(), "80 mm", "the plate");
  await page.goto(`${shop.base}${commission}/patterns`);
  const fence = await page.locator("#jigs tr", { hasText: "cutter's centre to the fence" }).locator("td").innerText();
  if (fence !== "80.00 mm") throw new Error(`the fence stands ${fence} off`);
  await page.goto(shop.base + kit);
  await type(page, "machine-most_feed", "1000");
  await becomes(() => page.locator("#field-machine-most_feed").inputValue(), "1000", "the feed");
  await page.goto(`${shop.base}${commission}/patterns`);
  await comeNow(page);
  if (!/1000 mm\/min/.test(await page.locator("#programs .minded").innerText())) throw new Error("a machine too slow for its cutters says nothing");
  quiet(page);
}

async function dots(shop) {
  const { commission, page } = await open(shop, { address: "board" });
  const circle = async () => (await fetched(shop, `${commission}/pattern/frets.svg`)).text;
  const before = await circle();
  await type(page, "dots-diameter", "8 mm");
  await becomes(() => page.locator("#field-dots-diameter").inputValue(), "8 mm", "the diameter");
  if (await page.locator(".faults").count()) throw new Error(await page.locator(".faults").innerText());
  const after = await circle();
  if (after === before || !/8\.00 mm/.test(after.replace(/<[^>]*>/g, " "))) throw new Error("the pattern does not follow");
  await type(page, "dots-diameter", "40 mm");
  await page.locator(".faults").waitFor();
  const words = await page.locator(".faults").innerText();
  if (!/dots/.test(words) || !/40/.test(words) || !/mm/.test(words)) throw new Error(words);
  if (await page.locator("#field-dots-diameter").inputValue() !== "40 mm") throw new Error("what was typed is gone");
  // The pages show the last sound moment meanwhile.
  const shown = await page.goto(`${shop.base}${commission}/patterns`);
  if (shown.status() !== 200 || !await page.locator("#on-paper figure.picture").count() || !await page.locator(".faults").count()) throw new Error("Patterns with a fault");
  await comeNow(page);
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => page.locator(".faults").count(), 0, "faults after undo");
  quiet(page);
}

async function blank(shop) {
  const { page } = await open(shop);
  await comeNow(page);
  const before = await passes(page, "roughing of the camber");
  await type(page, "board-blank_thickness", "12 mm");
  await becomes(async () => await page.locator("#programs[data-come]").count() ? passes(page, "roughing of the camber") : before, (now) => now > before, "passes of a thicker blank");
  await type(page, "board-blank_width", "30 mm");
  await page.locator(".faults").waitFor();
  const words = await page.locator(".faults").innerText();
  if (!/blank .*30\.00 mm wide lacks \d+\.\d\d mm .*larger blank_width/.test(words)) throw new Error(words);
  if (await page.locator("#field-board-blank_width").inputValue() !== "30 mm") throw new Error("what was typed is gone");
  quiet(page);
}

async function reaches(shop) {
  const kit = await shop.entry("North bench");
  for (const address of [`${await shop.entry("Sandpiper")}/patterns?pattern=rails`, kit]) {
    const page = await shop.window();
    await page.goto(shop.base + address);
    await whole(page);
    await page.evaluate(() => { for (const fold of document.querySelectorAll("details")) fold.open = true; });
    const wanted = await page.locator("main :is(.scroller, summary, a[href], input:not([type=hidden]), select, textarea, button:not([tabindex='-1']))").evaluateAll((all) => all
      .filter((each) => each.checkVisibility() && !each.disabled)
      .map((each, index) => { each.dataset.wanted = index; return index; }));
    const met = new Set();
    await page.locator("header a").first().focus();
    for (let step = 0; step < wanted.length + 80 && met.size < wanted.length; step += 1) {
      await page.keyboard.press("Tab");
      const now = await page.evaluate(() => document.activeElement.dataset.wanted);
      if (now) met.add(now);
    }
    const missed = wanted.filter((each) => !met.has(String(each)));
    const words = await page.evaluate((list) => list.map((each) => document.querySelector(`[data-wanted="${each}"]`).outerHTML.slice(0, 70)), missed);
    if (missed.length) throw new Error(`${address}: not reached: ${words.slice(0, 3).join(" | ")}`);
    quiet(page);
    await page.close();
  }
}

async function printed(shop) {
  const page = await shop.window();
  await page.emulateMedia({ media: "print" });
  await page.setViewportSize({ width: 718, height: 1000 }); // 190 mm of paper at 96 px an inch
  for (const title of ["Heron", "Sandpiper", "Avocet"]) {
    await page.goto(`${shop.base}${await shop.entry(title)}/patterns?pattern=rails`);
    await comeNow(page);
    const asked = await page.locator("main :is(input, select, button, form, summary)").evaluateAll((all) => all.filter((each) => each.checkVisibility()).map((each) => each.outerHTML.slice(0, 60)));
    if (asked.length) throw new Error(`${title}: ${asked.length} on paper: ${asked[0]}`);
    const wide = await page.locator("figure.picture svg, table").evaluateAll((all) => all.filter((each) => each.checkVisibility() && each.getBoundingClientRect().right > innerWidth + 1).map((each) => each.textContent.slice(0, 40)));
    if (wide.length) throw new Error(`${title}: wider than the sheet: ${wide}`);
    const empty = await page.locator("main :is(h2, h3)").evaluateAll((all) => all.filter((each) => {
      if (!each.checkVisibility()) return false;
      let after = each.nextElementSibling;
      while (after && !/^H[1-3]$/.test(after.tagName)) {
        if (after.checkVisibility() && after.getBoundingClientRect().height > 0 && !after.matches("p.faint")) return false;
        after = after.nextElementSibling;
      }
      return true;
    }).map((each) => each.textContent));
    if (empty.length) throw new Error(`${title}: headings with nothing under them: ${empty.join(", ")}`);
    const left = (await page.locator("main").innerText()).match(/Files:|Papers:|Everything as one zip|Clamps are boxes/);
    if (left) throw new Error(`${title}: "${left}" leads nowhere on paper`);
  }
}

async function unfolded(shop, title) {
  const entry = await shop.entry(title);
  const page = await shop.window({ bypassCSP: true });
  // Every pattern has its own picture; the widest of two rails and the frets stand for all.
  const addresses = title === "North bench" ? [entry] : [`${entry}/patterns?pattern=frets&fret=3&lane=0`, `${entry}/patterns?pattern=rails`];
  const found = [];
  for (const address of addresses) {
    await page.goto(shop.base + address);
    await whole(page);
    await page.evaluate(() => { for (const fold of document.querySelectorAll("details")) fold.open = true; });
    await page.addScriptTag({ path: AXE });
    for (const [width, [across, down]] of Object.entries(WIDTHS)) {
      await page.setViewportSize({ width: across, height: down });
      const cut = await page.evaluate(() => [...document.querySelectorAll("main *")]
        .filter((each) => !each.closest(".scroller, .unseen, figure.sheet") && each.getBoundingClientRect().right > innerWidth + 1)
        .map((each) => `${each.tagName} "${each.textContent.trim().slice(0, 30)}"`));
      if (cut.length) found.push(`${width}: ${cut.length} places reach past the window: ${cut.slice(0, 3).join(", ")}`);
      for (const colorScheme of ["light", "dark"]) {
        await page.emulateMedia({ colorScheme });
        const options = colorScheme === "dark" ? { runOnly: ["color-contrast"] } : {};
        const { violations } = await page.evaluate((chosen_) => axe.run(document, { ...chosen_, resultTypes: ["violations"] }), options);
        found.push(...violations.map((each) => `${address}, ${width}, ${colorScheme}: ${each.id}: ${each.help} at ${each.nodes.slice(0, 3).map((node) => node.target).join(" and ")} (${each.nodes.length})`));
      }
    }
  }
  if (found.length) throw new Error(found.join("\n"));
  quiet(page);
}
