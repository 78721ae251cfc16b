// Bench mode: one stage a screen, readings entered and the stage logged with dusty hands.
import { becomes, quiet } from "../shop.mjs";
import { enter, field, fill, hump, listed, notice, rows, table, takeIn } from "../visits.mjs";

export async function facts() {
  return {
    "without a stage asked for the first that is not done is shown": first,
    "before and next lead through all stages": walks,
    "the first reading begins a visit, and readings are entered with the big keys": reads,
    "readings enough show the next step": nextStep,
    "a stage is logged with minutes and note, and the screen stays": logs,
    "wrong minutes are told, and what was typed stays": wrongMinutes,
    "a wrong figure is told on the screen, and stays": wrongFigure,
    "all of it works without script": withoutScript,
    "a stage that is not in the plan is no error": strangeStage,
    "without a kit the screen says what is missing": noKit,
    "what is touched is large enough for a finger": largeKeys,
  };
}

async function open(shop, stage = "beam-P80", options = {}) {
  const commission = await shop.copy("Heron");
  const page = await shop.window({ viewport: { width: 820, height: 1180 }, ...options });
  await page.goto(`${shop.base}${commission}/bench${stage ? `?stage=${stage}` : ""}`);
  return { commission, page };
}

const counter = (page) => page.locator(".stage-steps strong").innerText();
const title = (page) => page.locator("h1").innerText();
/** A first reading begins the visit after the stage. */
async function begin(page) {
  await fill(page, { kind: "thickness", at: "fret 21", across: "centre", value: "6.3" });
  await enter(page);
  await page.getByText("They join visit").waitFor();
}

async function first(shop) {
  const { commission, page } = await open(shop, "");
  if (!/^Stage 1 of \d+$/.test(await counter(page))) throw new Error(await counter(page));
  const stage = await page.locator("form.done [name=stage]").inputValue();
  await shop.post(`${commission}/stage-done`, { page: "bench-plan", stage, minutes: "9", note: "" });
  await page.reload();
  if (!/^Stage 2 of /.test(await counter(page))) throw new Error(await counter(page));
  await page.goto(`${shop.base}${commission}/bench-plan`);
  await page.getByRole("link", { name: /bench mode|at the bench/i }).first().click();
  await page.locator(".stage-steps").waitFor();
}

async function walks(shop) {
  const { page } = await open(shop, "");
  const all = Number((await counter(page)).split(" of ")[1]);
  const seen = new Set([await title(page)]);
  for (let stage = 2; stage <= all; stage += 1) {
    await page.getByRole("link", { name: /Next/ }).first().click();
    await becomes(() => counter(page), `Stage ${stage} of ${all}`, "the stage");
    seen.add(await title(page));
    await page.locator("#picture-chalk svg").waitFor();
  }
  if (seen.size !== all) throw new Error(`${seen.size} titles for ${all} stages`);
  if (await page.getByRole("link", { name: /Next/ }).count()) throw new Error("there is a stage after the last");
  await page.getByRole("link", { name: /Before/ }).first().click();
  await becomes(() => counter(page), `Stage ${all - 1} of ${all}`, "the stage");
  quiet(page);
}

async function reads(shop) {
  const { commission, page } = await open(shop);
  const at = await counter(page);
  await fill(page, { kind: "light", tool: "254 mm", shows: "edges", at: "fret 1", keys: ["0", ".", "0", "9", "back", "5"] });
  await enter(page);
  await becomes(() => field(page, "at"), "fret 2", "the next fret");
  if (await field(page, "value") !== "") throw new Error("the figure is still there");
  await page.locator("#measured h2").waitFor();
  if (await counter(page) !== at || !/\/bench\?stage=beam-P80/.test(page.url())) throw new Error(`the screen is now ${page.url()}`);
  await page.reload();
  if (await field(page, "at") !== "fret 2") throw new Error("the next fret is forgotten");
  await page.goto(`${shop.base}${commission}/readings`);
  if (!/light fret 1 254\.0 mm: 0\.050 mm at both edges/.test(await listed(page)) || await rows(page) !== 1) throw new Error(await listed(page));
  quiet(page);
}

async function nextStep(shop) {
  const { commission, page } = await open(shop);
  await begin(page);
  const visit = await page.locator("form.reading [name=visit]").inputValue();
  await takeIn(shop, commission, visit, table(0.3, hump));
  await fill(page, { kind: "thickness", at: "fret 3", across: "centre", keys: ["6", ".", "3"] });
  await enter(page);
  await becomes(() => page.locator("#measured").innerText(), /Take off .*at most/s, "what is to be done");
  if (!(await page.locator("#measured svg > title").allTextContents()).every((words) => words.trim())) throw new Error("a picture has no title");
  if (!await page.locator("#measured svg").count()) throw new Error("nothing is drawn");
  quiet(page);
}

async function logs(shop) {
  const { page } = await open(shop);
  const at = await counter(page);
  await page.getByLabel("It took").fill("12,5");
  await page.locator("form.done").getByLabel("Note").fill("dust everywhere");
  await page.getByRole("button", { name: "This stage is done" }).click();
  await becomes(() => page.locator("#done").innerText(), /✓ Logged .*12\.5 min/s, "the tick");
  if (await counter(page) !== at) throw new Error(`the screen is now ${await counter(page)}`);
  await page.reload();
  if (!/✓ Logged/.test(await page.locator("#done").innerText())) throw new Error("it is not in the book");
  if (await counter(page) !== at) throw new Error(`the address leads to ${await counter(page)}`);
  quiet(page);
}

async function wrongMinutes(shop) {
  const { page } = await open(shop);
  for (const minutes of ["soon", "-3", "0"]) {
    await page.getByLabel("It took").fill(minutes);
    await page.locator("form.done").getByLabel("Note").fill("a long thought");
    await page.getByRole("button", { name: "This stage is done" }).click();
    await becomes(() => notice(page), /minutes must be a number/, "what is said");
    if (await page.getByLabel("It took").inputValue() !== minutes) throw new Error("the minutes are lost");
    if (await page.locator("form.done").getByLabel("Note").inputValue() !== "a long thought") throw new Error("the note is lost");
    if (!/beam/i.test(await title(page))) throw new Error(`the screen is now ${await title(page)}`);
  }
  if (/Logged/.test(await page.locator("#done").innerText())) throw new Error("it is logged all the same");
}

async function wrongFigure(shop) {
  const { page } = await open(shop);
  await page.getByLabel("It took").fill("7");
  await fill(page, { kind: "thickness", at: "fret 5", across: "lane 2", value: "thick" });
  await enter(page);
  await becomes(() => notice(page), /value.*thick/, "what is said");
  for (const [name, words] of [["at", "fret 5"], ["across", "lane 2"], ["value", "thick"]]) {
    if (await field(page, name) !== words) throw new Error(`${name} holds "${await field(page, name)}"`);
  }
  if (await page.getByLabel("It took").inputValue() !== "7") throw new Error("the minutes are lost");
  await page.locator("#amount").fill("6.2");
  await enter(page);
  await becomes(() => field(page, "at"), "fret 6", "the next fret");
  if (await notice(page)) throw new Error(`it still says: ${await notice(page)}`);
}

async function withoutScript(shop) {
  const { page } = await open(shop, "beam-P80", { javaScriptEnabled: false });
  if (await page.locator(".keys").isVisible()) throw new Error("keys without script are of no use");
  await fill(page, { kind: "thickness", at: "fret 5", across: "lane 2", value: "6.2" });
  await enter(page);
  if (await field(page, "at") !== "fret 6") throw new Error("the reading is not taken in");
  await page.getByLabel("It took").fill("20");
  await page.getByRole("button", { name: "This stage is done" }).click();
  if (!/✓ Logged .*20 min/s.test(await page.locator("#done").innerText())) throw new Error("it is not logged");
}

async function strangeStage(shop) {
  const { commission, page } = await open(shop, "beam-P9999");
  if (!/^Stage 1 of/.test(await counter(page))) throw new Error(await counter(page));
  const answer = await page.goto(`${shop.base}${commission}/bench?stage=%22%3E%3Cscript%3E`);
  if (answer.status() !== 200) throw new Error(`the screen answers ${answer.status()}`);
  if ((await fetch(`${shop.base}/commission/987654/bench`)).status !== 404) throw new Error("a commission that is not there has a screen");
}

async function noKit(shop) {
  const { commission, page } = await open(shop);
  await shop.post(`${commission}/kit`, { kit: "" });
  await page.reload();
  await page.getByText("Without a kit").waitFor();
  await page.getByRole("link", { name: "To the bench plan" }).click();
  await page.getByText("Choose a kit for this commission").waitFor();
}

/** WCAG 2.2, 2.5.5: 44 by 44 px for what a finger touches. */
async function largeKeys(shop) {
  const { page } = await open(shop);
  await fill(page, { kind: "thickness" });
  const small = await page.locator("#enter button, #enter label.kind, #done button, .stage-steps a").evaluateAll((all) => all
    .filter((each) => each.checkVisibility())
    .map((each) => [each.textContent, each.getBoundingClientRect()])
    .filter(([, box]) => box.width < 44 || box.height < 44)
    .map(([words, box]) => `${words}: ${box.width} by ${box.height}`));
  if (small.length) throw new Error(small.join("; "));
}
