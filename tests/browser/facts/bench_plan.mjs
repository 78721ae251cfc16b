// The bench plan: stages, chalk, the log, the paper.
import { quiet } from "../shop.mjs";

export async function facts() {
  return {
    "opening a stage shows its chalk and its words": opens,
    "a logged stage is shown as done, with minutes and note": logs,
    "minutes that are no number are refused in words, and the note is kept": refuses,
    "a stage can be logged without script": logsWithoutScript,
    "the plan comes on paper, A4 and Letter": paper,
    "without a kit the page says what is missing": noKit,
  };
}

async function open(shop, options = {}) {
  const commission = await shop.copy("Heron");
  const page = await shop.window(options);
  await page.goto(`${shop.base}${commission}/bench-plan`);
  return { commission, page };
}

const second = (page) => page.locator(".stage").nth(1);

async function opens(shop) {
  const { page } = await open(shop);
  if (await second(page).locator("svg").count()) throw new Error("the second stage is open from the start");
  await second(page).locator("h3 a").click();
  await second(page).locator("svg").waitFor();
  const picture = await second(page).locator("svg").innerHTML();
  for (const words of ["first touch", "50 % done", "mm to go"]) {
    if (!picture.includes(words)) throw new Error(`the chalk does not show ${words}`);
  }
  for (const name of ["How", "Chalk", "Stop", "Check"]) await second(page).locator("dt", { hasText: name }).waitFor();
  quiet(page);
}

async function logs(shop) {
  const { page } = await open(shop);
  await second(page).locator("h3 a").click();
  await second(page).getByLabel("It took").fill("12,5");
  await second(page).getByLabel("Note").fill("paper clogged <early>");
  await second(page).getByRole("button", { name: "Log this stage as done" }).click();
  const done = await second(page).locator(".done-line").innerText();
  if (!/Done .*12\.5 min: paper clogged <early>/.test(done)) throw new Error(done);
  await page.reload();
  if (await page.locator(".done-line").count() !== 1) throw new Error("it is not in the book");
  quiet(page);
}

async function refuses(shop) {
  const { page } = await open(shop);
  await second(page).locator("h3 a").click();
  for (const minutes of ["soon", "-3", "0", "1e99"]) {
    await second(page).getByLabel("It took").fill(minutes);
    await second(page).getByLabel("Note").fill("a long thought");
    await second(page).getByRole("button", { name: "Log this stage as done" }).click();
    const words = await page.locator(".notice.not-done").innerText();
    if (!/minutes must be a number/.test(words)) throw new Error(words);
    if (await second(page).getByLabel("Note").inputValue() !== "a long thought") throw new Error("the note is lost");
    if (await second(page).getByLabel("It took").inputValue() !== minutes) throw new Error("the minutes typed are lost");
  }
  if (await page.locator(".done-line").count()) throw new Error("it is logged all the same");
}

async function logsWithoutScript(shop) {
  const { page } = await open(shop, { javaScriptEnabled: false });
  await second(page).locator("h3 a").click();
  await second(page).getByLabel("It took").fill("20");
  await second(page).getByRole("button", { name: "Log this stage as done" }).click();
  const done = await second(page).locator(".done-line").innerText();
  if (!/20 min/.test(done)) throw new Error(done);
}

async function paper(shop) {
  const { page } = await open(shop);
  for (const [name, size] of [["On paper, A4", [595, 842]], ["On paper, Letter", [612, 792]]]) {
    const link = await page.getByRole("link", { name }).getAttribute("href");
    const answer = await fetch(shop.base + link);
    if (answer.headers.get("content-type") !== "application/pdf") throw new Error(`${name}: ${answer.headers.get("content-type")}`);
    const bytes = Buffer.from(await answer.arrayBuffer()).toString("latin1");
    if (!bytes.startsWith("%PDF-")) throw new Error(`${name} is no PDF`);
    // ISO 216 A4 is 210 by 297 mm, Letter 8.5 by 11 in, in points of 1/72 in.
    const box = bytes.match(/\/MediaBox\s*\[\s*([\d.]+)\s+([\d.]+)\s+([\d.]+)\s+([\d.]+)/);
    if (box && (Math.abs(box[3] - size[0]) > 1 || Math.abs(box[4] - size[1]) > 1)) throw new Error(`${name} is ${box[3]} by ${box[4]} points`);
  }
}

async function noKit(shop) {
  const { commission, page } = await open(shop);
  await shop.post(`${commission}/kit`, { kit: "" });
  await page.reload();
  await page.getByText("Choose a kit for this commission").waitFor();
  if (await page.locator(".stage").count()) throw new Error("there is a plan without tools");
  const answer = await fetch(`${shop.base}${commission}/bench-plan.pdf`);
  if (answer.status !== 404) throw new Error(`the paper answers ${answer.status}`);
}
