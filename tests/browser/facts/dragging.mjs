// Taking hold of the radius in the picture.
import { becomes, figure, quiet } from "../shop.mjs";

export async function facts() {
  return {
    "dragging follows at once and stores a single moment at the end": drags,
    "a drag that comes back stores nothing": comesBack,
    "arrow keys on a handle step by a millimetre, as often as they are pressed": keys,
  };
}

async function open(shop) {
  const commission = await shop.copy("Heron");
  const page = await shop.window();
  await page.goto(`${shop.base}${commission}/camber`);
  const handle = page.locator('[role=slider][data-path="camber.nut"]');
  return { commission, page, handle };
}

async function middle(handle) {
  await handle.scrollIntoViewIfNeeded();
  const box = await handle.boundingBox();
  return [box.x + box.width / 2, box.y + box.height / 2];
}

async function drags(shop) {
  const { commission, page, handle } = await open(shop);
  const before = await figure(page, "Edge drop at the nut");
  const [x, y] = await middle(handle);
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x, y - 15, { steps: 3 });
  const during = await becomes(() => figure(page, "Edge drop at the nut"), (now) => now !== before, "the figure during the drag");
  if (await shop.moments(commission) !== 1) throw new Error("the drag stores on its way");
  await page.mouse.move(x, y - 40, { steps: 5 });
  await becomes(() => figure(page, "Edge drop at the nut"), (now) => now !== during, "the figure further on");
  if (await shop.moments(commission) !== 1) throw new Error("the drag stores on its way");
  await page.mouse.up();
  await becomes(() => shop.moments(commission), 2, "moments after the drag");
  const radius = Number((await shop.stored(commission)).match(/nut = "([\d.]+) mm"/)[1]);
  if (!(radius > 245)) throw new Error(`dragged upward the radius is ${radius} mm`);
  await becomes(() => page.locator("#field-camber-nut").inputValue(), `${radius} mm`, "the field");
  quiet(page);
}

async function comesBack(shop) {
  const { commission, page, handle } = await open(shop);
  const before = await figure(page, "Edge drop at the nut");
  const [x, y] = await middle(handle);
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x, y - 30, { steps: 3 });
  await becomes(() => figure(page, "Edge drop at the nut"), (now) => now !== before, "the figure during the drag");
  await page.mouse.move(x, y, { steps: 3 });
  await page.mouse.up();
  await becomes(() => figure(page, "Edge drop at the nut"), before, "the figure after it");
  if (await shop.moments(commission) !== 1) throw new Error("something was stored");
}

async function keys(shop) {
  const { commission, page, handle } = await open(shop);
  await handle.focus();
  for (let press = 0; press < 3; press += 1) await page.keyboard.press("ArrowUp");
  await becomes(() => shop.stored(commission), /nut = "243 mm"/, "the stored text");
  await becomes(() => page.evaluate(() => document.activeElement.dataset.path), "camber.nut", "the focus");
  await page.keyboard.press("PageDown");
  await becomes(() => shop.stored(commission), /nut = "233 mm"/, "the stored text");
  if (await page.locator(".notice").count()) throw new Error(await page.locator(".notice").textContent());
  quiet(page);
}
