// The page Patterns: choosing a pattern, the printer, and files of patterns, bodies and everything.
import { asItWas, BEGIN, comeNow, COMMISSIONS, expectFile, fetched, keep, KEPT_TO, KIND, names, note, open, place, PRINTER, rewrite, sheets, TOOLS, unfold, withKit } from "../made.mjs";
import { becomes, quiet, type } from "../shop.mjs";

const PATTERNS = { "Fret pattern": "frets", Gauges: "gauges", "Beam track card": "beam", "Edge and slot depths": "depths", "Nut blank": "nut", "Saddle blank": "saddle", "Sled rails": "rails" };

export async function facts() {
  return {
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
    "a body that cannot be made is refused in words that lead back": noBody,
    "what is not there is not found": notThere,
  };
}

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
    const files = await page.locator("#on-paper p.files").first().locator("a").evaluateAll((all) => all.map((link) => link.getAttribute("href")));
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
  await unfold(page, PRINTER);
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
  await unfold(page, "Figures of the rails");
  const edges = await page.locator("#jigs tr", { hasText: /before the nut|past the end/ }).locator("td:nth-child(4)").allInnerTexts();
  if (edges.join() !== "flat,flat") throw new Error(`the rails' edges are ${edges}`);
  if (!/No swing arm: a flat board has no axis/.test(await page.locator("#jigs").innerText())) throw new Error("why there is no arm is not told");
  for (const word of ["frets", "gauges", "beam", "depths", "nut", "saddle"]) {
    const answer = await page.goto(`${shop.base}${commission}/patterns?pattern=${word}`);
    if (answer.status() !== 200 || !await page.locator("#on-paper figure.picture").count()) throw new Error(`${word}: ${answer.status()}`);
  }
  await unfold(page, TOOLS);
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
    await unfold(page, PRINTER);
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
    await unfold(page, PRINTER);
    await page.locator("[name=long_bar]").fill("84 mm");
    await page.locator("form.printer select").selectOption("a3");
    await page.getByRole("button", { name: "Keep for this printer" }).click();
    await becomes(() => note(page), /^Not done: the bar along the long side: .*measures 84\.0 mm.*90 to 110 mm.*at 100 %/, "what is said");
    if (await page.locator("[name=long_bar]").inputValue() !== "84 mm") throw new Error("what was typed is gone");
    await page.locator("[name=long_bar]:focus").waitFor();
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
    await unfold(page, PRINTER);
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
    await unfold(page, PRINTER);
    await page.locator("form.printer select").selectOption("a3");
    await page.getByRole("button", { name: "Keep for this printer" }).click();
    if (!/A3$/.test(await page.locator("#sheets summary").innerText())) throw new Error("the paper is not kept");
    await unfold(page, PRINTER);
    await page.locator("[name=short_bar]").fill("84");
    await page.getByRole("button", { name: "Keep for this printer" }).click();
    if (!/84\.0 mm/.test(await note(page))) throw new Error("the bar is not refused");
    await page.getByRole("link", { name: "Back to the patterns" }).click();
    await page.locator("[name=short_bar]:focus").waitFor();
    await page.getByRole("link", { name: "Work out and prove the programs" }).click();
    await page.getByRole("heading", { name: "Programs" }).waitFor();
    if (await page.locator("#programs tbody tr").count() !== 5) throw new Error("five programs cut Heron");
    if (!await page.evaluate(() => [...document.styleSheets].length).catch(() => 1)) throw new Error("the page is bare");
    await page.getByRole("link", { name: "Back to the patterns" }).click();
    await unfold(page, KEPT_TO);
    await page.locator("#field-cutting-scallop").fill("0.02 mm");
    await page.locator("form.field", { has: page.locator("#field-cutting-scallop") }).getByRole("button", { name: "Set" }).last().click();
    if (await page.locator("#field-cutting-scallop").inputValue() !== "0.02 mm") throw new Error("the field is not set");
    if (!/scallop = "0\.02 mm"/.test(await shop.stored(commission))) throw new Error("it is not stored");
  });
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
  await unfold(page, TOOLS);
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
