// Programs for the machine on the page Patterns, and what they follow: kit, clamps, slots, dots, blank.
import { BEGIN, comeNow, COMMISSIONS, expectFile, fetched, KEPT_TO, names, open, passes, place, rewrite, unfold, withKit } from "../made.mjs";
import { becomes, quiet, type } from "../shop.mjs";

export async function facts() {
  return {
    "programs come by themselves and are handed out as they are told": programs,
    "pointing does not begin the programs anew, and what is unfolded stays so": programsOnce,
    "a finer scallop takes more passes, and undo brings them back": scallop,
    "a clamp in the way is named with a way out, and the other programs are there": clamp,
    "slots narrower than every cutter are refused with both widths": narrowSlots,
    "holes and pockets are seen in their picture, as wide as they are": dotsSeen,
    "a chosen kit without cutters, one with faults, and no kit at all each say what to do": noCutters,
    "a cutter is added, changed and taken away, and undo brings it back": cutter,
    "a chip's limits the wrong way round are a fault in words": chipLimits,
    "a router's measure changes the jigs": router,
    "dots follow their diameter, and one too large is named and stays typed": dots,
    "the blank's measures are followed, and one too small is named": blank,
  };
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
  await unfold(page, KEPT_TO);
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
  if (!/cutting, scallop/.test(await page.locator(".faults").innerText())) throw new Error(await page.locator(".faults").innerText());
  if (await page.locator("#field-cutting-scallop").inputValue() !== "none") throw new Error("what was typed is gone");
  quiet(page);
}

async function clamp(shop) {
  const { commission, kit } = await withKit(shop);
  await rewrite(shop, kit, (text) => text.replace('clear = "5 mm"', 'clear = "1 mm"'));
  const page = await shop.window();
  await page.goto(`${shop.base}${commission}/text`);
  // Beside a narrow blank stand a clamp so low that only the outline meets it, and one far off.
  const text = (await page.locator("textarea").inputValue()).replace("[board]", '[board]\nblank_width = "58 mm"');
  await page.locator("textarea").fill(`${text}\n[cutting]\nclamps = [\n  { x = "-60 mm", y = "60 mm", along = "10 mm", across = "10 mm", height = "20 mm" },\n  { x = "440 mm", y = "-40 mm", along = "20 mm", across = "10 mm", height = "2 mm" },\n]\n`);
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
  await rewrite(shop, commission, (all) => all.replace('height = "2 mm"', 'height = "25 mm"'));
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
  await unfold(page, "Where fences and templates stand");
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
  await unfold(page, KEPT_TO);
  await type(page, "board-blank_thickness", "12 mm");
  await becomes(async () => await page.locator("#programs[data-come]").count() ? passes(page, "roughing of the camber") : before, (now) => now > before, "passes of a thicker blank");
  await type(page, "board-blank_width", "30 mm");
  await page.locator(".faults").waitFor();
  const words = await page.locator(".faults").innerText();
  if (!/blank .*30\.00 mm wide lacks \d+\.\d\d mm .*larger blank_width/.test(words)) throw new Error(words);
  if (await page.locator("#field-board-blank_width").inputValue() !== "30 mm") throw new Error("what was typed is gone");
  quiet(page);
}
