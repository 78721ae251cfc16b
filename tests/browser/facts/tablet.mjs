// The bench on a tablet: opened, paired by code and by QR code, taken away.
import { createRequire } from "node:module";
import { becomes, quiet } from "../shop.mjs";
import { atBench, closeBench, code, openBench, pairedTablet, quietButAway } from "../tablets.mjs";
import { enter, fill } from "../visits.mjs";
import { accessible, fits } from "./pages.mjs";

const QR_READER = createRequire(import.meta.url).resolve("jsqr/dist/jsQR.js");

export async function facts() {
  return {
    "the bench is opened from the header, and closed again": opens,
    "a tablet is paired by the code, and the maker's page tells of it by itself": pairs,
    "the QR code, read by jsQR, leads to pairing": byCamera,
    "a wrong code is told, and the name typed stays": wrongCode,
    "a tablet reads and logs without script": withoutScript,
    "the maker takes a tablet away by keyboard": takesAway,
    "a tablet's page leads nowhere but to bench mode": ownPages,
    "the maker's page while it is open fits every width": (shop) => whileOpen(shop, fits),
    "the maker's page while it is open gives axe nothing to find": (shop) => whileOpen(shop, accessible),
    "a tablet's pages fit every width": (shop) => tabletPages(shop, fits),
    "a tablet's pages give axe nothing to find": (shop) => tabletPages(shop, accessible),
  };
}

async function opens(shop) {
  await closeBench(shop);
  const page = await shop.window();
  await page.goto(`${shop.base}/book`);
  await page.getByRole("link", { name: "Tablet" }).click();
  await page.getByText("No other device reaches this program").waitFor();
  await page.getByRole("button", { name: "Open the bench to tablets" }).press("Enter");
  await page.locator("p.digits").waitFor();
  const address = await page.locator("p.address").innerText();
  if ((await fetch(address, { redirect: "manual" })).status !== 303) throw new Error("it is not open");
  await page.getByRole("button", { name: "Close the bench" }).press("Enter");
  await page.getByText("No other device reaches this program").waitFor();
  if (await fetch(address).then(() => true, () => false)) throw new Error("it is still open");
  quiet(page);
}

async function pairs(shop) {
  await openBench(shop);
  await code(shop);
  const maker = await shop.window();
  await maker.goto(`${shop.base}/tablet`);
  const digits = await maker.locator("p.digits").innerText();
  const tablet = await atBench(shop, await maker.locator("p.address").innerText()).window();
  await tablet.goto(await maker.locator("p.address").innerText());
  await tablet.getByLabel("The code on the maker's screen").fill(digits);
  await tablet.getByLabel("What this tablet is called").fill("Left bench");
  await tablet.getByRole("button", { name: "Pair" }).press("Enter");
  await tablet.getByRole("link", { name: "Heron", exact: true }).click();
  await tablet.locator(".stage-steps").waitFor();
  await becomes(() => maker.locator("#invitation").innerText(), /Paired: Left bench/, "the maker's page");
  await becomes(() => maker.locator("#paired").innerText(), /Left bench/, "the list of tablets");
  quiet(maker);
  quiet(tablet);
}

/** What a stranger reads in the picture: jsQR (npm, a decoder of its own) on the page's own pixels. */
async function byCamera(shop) {
  const bench = await openBench(shop);
  await code(shop);
  for (const colorScheme of ["light", "dark"]) {
    const maker = await shop.window({ colorScheme });
    await maker.goto(`${shop.base}/tablet`);
    const picture = (await maker.locator("svg.qr").screenshot()).toString("base64");
    const reader = await shop.window();
    await reader.addScriptTag({ path: QR_READER });
    const link = await reader.evaluate(async (data) => {
      const image = new Image();
      image.src = `data:image/png;base64,${data}`;
      await image.decode();
      const canvas = Object.assign(document.createElement("canvas"), { width: image.width, height: image.height });
      const pen = canvas.getContext("2d");
      pen.drawImage(image, 0, 0);
      return jsQR(pen.getImageData(0, 0, image.width, image.height).data, image.width, image.height)?.data;
    }, picture);
    if (!new RegExp(`^${bench}/pair\\?with=[0-9a-f]{32}$`).test(link)) throw new Error(`${colorScheme}: it reads ${link}`);
    if (colorScheme === "light") continue;
    const tablet = await atBench(shop, bench).window();
    await tablet.goto(link);
    if (await tablet.getByLabel("The code").count()) throw new Error("it still asks for a code");
    await tablet.getByLabel("What this tablet is called").fill("By camera");
    await tablet.getByRole("button", { name: "Pair" }).click();
    await tablet.getByText("paired as By camera").waitFor();
    quiet(tablet);
    // The link is used up.
    const other = await atBench(shop, bench).window();
    await other.goto(link);
    await other.getByRole("button", { name: "Pair" }).click();
    await other.getByText("this code does not hold").waitFor();
  }
}

async function wrongCode(shop) {
  const bench = await openBench(shop);
  const right = await code(shop);
  const page = await atBench(shop, bench).window();
  await page.goto(bench);
  await page.getByLabel("The code on the maker's screen").fill("0000 0000");
  await page.getByLabel("What this tablet is called").fill("Right bench");
  await page.getByRole("button", { name: "Pair" }).click();
  await page.getByText("this code does not hold").waitFor();
  if (await page.getByLabel("What this tablet is called").inputValue() !== "Right bench") throw new Error("the name is lost");
  await page.getByLabel("The code on the maker's screen").fill(right);
  await page.getByRole("button", { name: "Pair" }).click();
  await page.getByText("paired as Right bench").waitFor();
}

async function withoutScript(shop) {
  const commission = await shop.copy("Heron");
  const { bench, page } = await pairedTablet(shop, { javaScriptEnabled: false });
  await page.goto(`${bench}${commission}/bench?stage=beam-P80`);
  await fill(page, { kind: "thickness", at: "fret 5", across: "lane 2", value: "6.2" });
  await enter(page);
  await page.getByText("They join visit").waitFor();
  await page.getByLabel("It took").fill("20");
  await page.getByRole("button", { name: "This stage is done" }).click();
  await page.getByText("20 min").waitFor();
  await page.getByRole("link", { name: "Next ›" }).first().click();
  await page.locator(".stage-steps").waitFor();
  await page.getByRole("link", { name: "‹ Commissions" }).click();
  await page.getByText("paired as").waitFor();
  quiet(page);
}

async function takesAway(shop) {
  const { bench, page } = await pairedTablet(shop, { name: "Lost one" });
  const maker = await shop.window();
  await maker.goto(`${shop.base}/tablet`);
  await maker.getByRole("button", { name: "Take away Lost one" }).press("Enter");
  await becomes(() => maker.locator("#paired").innerText(), (words) => !/Lost one/.test(words), "the list of tablets");
  const answer = await page.goto(`${bench}${await shop.entry("Heron")}/bench`);
  if (answer.status() !== 403) throw new Error(`it is answered ${answer.status()}`);
  await page.getByText("not paired, or no longer").waitFor();
  await page.getByRole("link", { name: "Pair this tablet" }).click();
  await page.getByLabel("The code on the maker's screen").waitFor();
  quiet(maker);
  quietButAway(page);
}

async function ownPages(shop) {
  const { bench, page } = await pairedTablet(shop);
  const heron = await shop.entry("Heron");
  for (const path of ["/", `${heron}/bench`]) {
    await page.goto(bench + path);
    const links = await page.locator("a[href]").evaluateAll((all) => all.map((link) => link.getAttribute("href")));
    const strange = links.filter((link) => !/^(\/|\/pair|#content|\/commission\/\d+\/bench(\?stage=[\w.-]+)?)$/.test(link));
    if (strange.length) throw new Error(`${path} leads to ${strange}`);
  }
  for (const path of ["/book", "/tablet", `${heron}/wish`, "/nowhere"]) {
    const answer = await page.goto(bench + path);
    if (answer.status() !== 403) throw new Error(`${path} answers ${answer.status()}`);
    await page.getByRole("link", { name: "Back to the bench" }).waitFor();
  }
}

async function whileOpen(shop, judge) {
  await pairedTablet(shop, { name: "One" });
  await pairedTablet(shop, { name: "Another, with a rather long name for it" });
  await code(shop);
  await judge(shop, "/tablet");
}

async function tabletPages(shop, judge) {
  const { bench, page } = await pairedTablet(shop);
  const storageState = await page.context().storageState();
  const there = atBench(shop, bench);
  const heron = await shop.entry("Heron");
  for (const path of ["/", `${heron}/bench`, "/pair", "/pair?with=0123456789abcdef"]) await judge(there, path, { storageState });
}
