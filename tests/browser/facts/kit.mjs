// The kit: tools come and go, and the plan follows.
import { becomes, quiet, type } from "../shop.mjs";

export async function facts() {
  return {
    "a block is added, changed and taken away, and the plan follows": block,
    "an unknown grade is named, and the plan waits for it": grade,
    "a kit's change can be undone": undone,
    "what the wood is read with is added, changed and taken away": measuring,
  };
}

/** A commission that is planned with a kit of its own. */
async function open(shop) {
  const [commission, kit] = [await shop.copy("Heron"), await shop.copy("North bench")];
  await shop.post(`${commission}/kit`, { kit: kit.split("/").pop() });
  const page = await shop.window();
  await page.goto(shop.base + kit);
  return { commission, kit, page };
}

const blocks = (page) => page.locator("section", { has: page.getByRole("heading", { name: "Blocks" }) });

async function block(shop) {
  const { commission, page } = await open(shop);
  const plan = () => shop.text(`${commission}/bench-plan`);
  if ((await plan()).includes("241.3 mm")) throw new Error("the plan knows the block before it is owned");
  await blocks(page).getByRole("button", { name: "Add one" }).click();
  await becomes(() => blocks(page).locator(".tool").count(), 4, "blocks");
  await type(page, "blocks-4--radius", "9.5 in");
  // 9.5 in is 241.3 mm exactly, by the inch of 25.4 mm.
  await becomes(async () => (await plan()).includes("Block 241.3 mm"), true, "the plan with the block");
  await blocks(page).locator(".tool").nth(3).getByRole("button", { name: "Take away" }).click();
  await becomes(() => blocks(page).locator(".tool").count(), 3, "blocks");
  await becomes(async () => (await plan()).includes("Block 241.3 mm"), false, "the plan without the block");
  quiet(page);
}

async function measuring(shop) {
  const { kit, page } = await open(shop);
  const text = () => shop.text(kit);
  const section = (name) => page.locator("section", { has: page.getByRole("heading", { name, exact: true }) });
  const stored = (words) => becomes(async () => page.locator("#whole-text").inputValue(), words, "the kit's text");
  await section("Straightedges").getByRole("button", { name: "Add one" }).click();
  await becomes(() => section("Straightedges").locator(".tool").count(), 3, "straightedges");
  await type(page, "straightedges-3-", "24 in");
  await stored(/"24 in"/);
  await section("Straightedges").locator(".tool").nth(2).getByRole("button", { name: "Take away" }).click();
  await becomes(() => section("Straightedges").locator(".tool").count(), 2, "straightedges");
  await section("Dials between two legs").getByRole("button", { name: "Add one" }).click();
  await type(page, "dials-2--resolution", "0.001 mm");
  await stored(/resolution = "0\.001 mm"/);
  await type(page, "least_feeler", "0.04 mm");
  await stored(/least_feeler = "0\.04 mm"/);
  if (/class="faults"/.test(await text())) throw new Error("the kit has faults");
  quiet(page);
}

async function grade(shop) {
  const { commission, page } = await open(shop);
  await type(page, "abrasives-2-", "P121");
  const words = await page.locator(".faults").innerText();
  if (!/abrasives\[2\]/.test(words) || !/P121/.test(words)) throw new Error(words);
  if (await page.locator("#field-abrasives-2-").inputValue() !== "P121") throw new Error("what was typed is lost");
  const plan = await shop.text(`${commission}/bench-plan`);
  if (!/has faults; mend it/.test(plan)) throw new Error("the plan does not say what it waits for");
  await type(page, "abrasives-2-", "P120");
  await becomes(() => page.locator(".faults").count(), 0, "faults");
  quiet(page);
}

async function undone(shop) {
  const { page } = await open(shop);
  await type(page, "smallest_light", "0.03 mm");
  const undo = page.getByRole("button", { name: "Undo" });
  await becomes(() => undo.isEnabled(), true, "undo");
  await undo.click();
  await becomes(() => page.locator("#field-smallest_light").inputValue(), "0.02 mm", "the field after undo");
}
