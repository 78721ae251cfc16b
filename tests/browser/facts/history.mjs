// The history of an entry: two moments beside each other.
import { becomes, quiet, type } from "../shop.mjs";

export async function facts() {
  return {
    "a moment is compared with the present: values, figures and lines": compared,
    "any two moments are compared, without script too": chosen,
    "lengths are compared in the chosen unit": inUnits,
    "a moment with faults is compared in its text alone, and that is said": faulty,
    "a kit's moments are compared": kit,
    "a moment of another entry is no moment of this one": another,
  };
}

const rowOf = (page, name) => page.locator("tr", { has: page.locator("th", { hasText: new RegExp(`^${name}$`) }) });

async function changed(shop, options) {
  const commission = await shop.copy("Heron");
  const page = await shop.window(options);
  const base = (await shop.text(`${commission}/camber`)).match(/name="based_on" value="(\d+)"/)[1];
  await shop.post(`${commission}/set`, { path: "camber.nut", value: "11 in", based_on: base, page: "camber" });
  const next = (await shop.text(`${commission}/camber`)).match(/name="based_on" value="(\d+)"/)[1];
  await shop.post(`${commission}/set`, { path: "wish.relief", value: "0.2 mm", based_on: next, page: "wish" });
  await page.goto(`${shop.base}${commission}/history`);
  return { commission, page };
}

async function compared(shop) {
  const { page } = await changed(shop);
  await page.getByRole("link", { name: /Compare with the present.*copied from/ }).click();
  await page.getByRole("heading", { name: "Two moments of Heron, copy" }).waitFor();
  const nut = await rowOf(page, "camber, nut").innerText();
  for (const each of ["240 mm", "11 in", "(279.400 mm)", "+39.400 mm"]) if (!nut.includes(each)) throw new Error(`${each}: ${nut}`);
  const relief = await rowOf(page, "wish, relief").innerText();
  if (!relief.includes("0.15 mm") || !relief.includes("0.2 mm")) throw new Error(relief);
  const radius = await rowOf(page, "Radius at the nut").innerText();
  if (!radius.includes("240.0 mm") || !radius.includes("279.4 mm") || !radius.includes("+39.4 mm")) throw new Error(radius);
  for (const name of ["Thinnest edge", "First bend to end", "Lowest action free of buzz, mean of all strings"]) {
    if (!/\d/.test(await rowOf(page, name).innerText())) throw new Error(`${name} has no figure`);
  }
  const [gone, come] = [await page.locator(".lines .gone").allInnerTexts(), await page.locator(".lines .come").allInnerTexts()];
  if (gone.length !== 2 || come.length !== 2 || !/nut = "240 mm"/.test(gone.join()) || !/nut = "11 in"/.test(come.join())) throw new Error(`${gone} ${come}`);
  quiet(page);
}

async function chosen(shop) {
  const { page } = await changed(shop, { javaScriptEnabled: false });
  const moments = await page.getByLabel("Then").locator("option").allInnerTexts();
  if (moments.length !== 3) throw new Error(`${moments}`);
  await page.getByLabel("Then").selectOption({ index: 2 });
  await page.getByLabel("Now").selectOption({ index: 1 });
  await page.getByRole("button", { name: "Compare these two" }).click();
  await rowOf(page, "camber, nut").waitFor();
  if (await rowOf(page, "wish, relief").count()) throw new Error("it is compared with the present");
  await page.getByLabel("Now").selectOption({ index: 2 });
  await page.getByRole("button", { name: "Compare" }).click();
  await page.getByText("the same, word for word").waitFor();
}

async function inUnits(shop) {
  const { commission, page } = await changed(shop);
  await shop.post("/units", { unit: "inch" });
  try {
    await page.goto(`${shop.base}${commission}/compare?then=${await page.getByLabel("Then").locator("option").last().getAttribute("value")}`);
    const nut = await rowOf(page, "camber, nut").innerText();
    if (!/240 mm \(9\.\d+ in\)/.test(nut) || !/\+1\.5\d+ in/.test(nut)) throw new Error(nut);
  } finally {
    await shop.post("/units", { unit: "mm" });
  }
}

async function faulty(shop) {
  const commission = await shop.copy("Heron");
  const page = await shop.window();
  await page.goto(`${shop.base}${commission}/camber`);
  await type(page, "camber-nut", "one inch");
  await becomes(() => shop.stored(commission), /one inch/, "the change");
  await page.goto(`${shop.base}${commission}/history`);
  await page.getByRole("button", { name: "Compare these two" }).click();
  await page.getByText("The text now has faults").waitFor();
  const nut = await rowOf(page, "camber, nut").innerText();
  if (!nut.includes("one inch")) throw new Error(nut);
  quiet(page);
}

async function kit(shop) {
  const path = await shop.copy("North bench");
  const page = await shop.window();
  await page.goto(`${shop.base}${path}`);
  await type(page, "smallest_light", "0.03 mm");
  await becomes(() => shop.text(path), /value="0.03 mm"/, "the change");
  await page.goto(`${shop.base}${path}/history`);
  await page.getByRole("button", { name: "Compare these two" }).click();
  await rowOf(page, "smallest light").waitFor();
  if (await page.getByRole("heading", { name: "Figures that decide" }).count()) throw new Error("a kit has no figures");
  quiet(page);
}

async function another(shop) {
  const [one, other] = [await shop.copy("Heron"), await shop.copy("Heron")];
  const moment = (await shop.text(`${other}/camber`)).match(/name="based_on" value="(\d+)"/)[1];
  const answer = await fetch(`${shop.base}${one}/compare?then=${moment}`);
  if (answer.status !== 404) throw new Error(`it answered ${answer.status}`);
}
