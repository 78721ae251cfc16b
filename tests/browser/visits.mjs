// Readings as the tests take them: visits begun, boards measured by a closed form, forms filled.

/** The crown of fret n's line from the nut, mm: 12 equal steps on Heron's scale of 635 mm. */
export const fretAt = (fret) => 635 * (1 - 2 ** (-fret / 12));

/** Heron's camber: a cone of 240 mm at the nut and 400 mm at the last of 22 frets. */
function drop(x, y) {
  const radius = 240 + (400 - 240) * x / fretAt(22);
  return radius - Math.sqrt(radius * radius - y * y);
}

/** Sixty heights and five thicknesses of a board `extra` mm over the finished camber; `hump` adds to it by place. */
export function table(extra, hump = () => 0) {
  const lines = ["kind,at,across,value"];
  for (const fret of [0, 2, 4, 6, 8, 9, 10, 12, 14, 16, 19, 22]) {
    for (const y of [-20, -10, 0, 10, 20]) lines.push(`height,fret ${fret},${y} mm,${(extra - drop(fretAt(fret), y) + hump(fret)).toFixed(3)} mm`);
  }
  for (const fret of [1, 5, 9, 15, 21]) lines.push(`thickness,fret ${fret},centre,${(6 + extra + hump(fret)).toFixed(2)} mm`);
  return lines.map((line) => line.replace("fret 0", "nut")).join("\n");
}

/** A hump of 0.6 mm around fret 9. */
export const hump = (fret) => 0.6 * Math.exp(-(((fretAt(fret) - fretAt(9)) / 60) ** 2));

/** A copy of Heron with a visit; the addresses of both. */
export async function begun(shop, { stage = "beam-P80", name = "1" } = {}) {
  const commission = await shop.copy("Heron");
  return { commission, ...await another(shop, commission, { stage, name }) };
}

/** One more visit of a commission. */
export async function another(shop, commission, { stage = "beam-P80", name, date = "2026-03-02" }) {
  const answer = await shop.post(`${commission}/visit`, { page: "readings", fret: 0, lane: 0, name, date, stage });
  const address = answer.headers.get("location");
  return { visit: address.match(/visit=(\d+)/)[1], address };
}

/** Takes a whole table in, as the box for many does. */
export async function takeIn(shop, commission, visit, text) {
  const answer = await shop.post(`${commission}/readings`, { page: "readings", fret: 0, lane: 0, visit, text, sent_key: `many-${visit}-${text.length}` });
  if (answer.status !== 303) throw new Error(`the table is refused: ${(await answer.text()).match(/not-done[^]*?<\/p>/)}`);
}

/** A page with the readings of a fresh visit. */
export async function open(shop, { text, ...options } = {}) {
  const started = await begun(shop);
  if (text) await takeIn(shop, started.commission, started.visit, text);
  const page = await shop.window(options);
  await page.goto(shop.base + started.address);
  return { ...started, page };
}

export const rows = (page) => page.locator("#list tbody tr").count();
/** A long list is folded away. */
export const unfoldList = (page) => page.locator("#list details.one-by-one").evaluateAll((folds) => folds.forEach((fold) => { fold.open = true; }));
export const listed = (page) => unfoldList(page).then(() => page.locator("#list tbody tr").allInnerTexts()).then((all) => all.join("\n").replace(/[\t ]+/g, " "));
export const notice = (page) => page.locator("#words .not-done").allInnerTexts().then((all) => all.join(" "));

/** What a kind of reading asks for, filled in as a hand at the bench does: choices by touch, the figure by big keys. */
export async function fill(page, { kind, tool, shows, keys, ...fields }) {
  const form = page.locator("form.reading");
  await form.locator(`[name=kind][value=${kind}]`).check();
  if (tool) await form.locator(`[name=tool_${kind}]`).selectOption(tool);
  if (shows !== undefined) await form.locator(`[name=shows_${kind}][value="${shows}"]`).check();
  for (const [name, value] of Object.entries(fields)) await form.locator(`[name=${name}]`).fill(value);
  for (const key of keys ?? []) await form.locator(`.keys [data-key="${key}"]`).click();
}

export const enter = (page) => page.getByRole("button", { name: "Enter this reading" }).click();
export const field = (page, name) => page.locator(`form.reading [name=${name}]`).inputValue();

/** Opens the box for many and puts a text into it. */
export async function paste(page, text) {
  if (!await page.locator("#many").isVisible()) await page.locator("details.many summary").click();
  await page.locator("#many").fill(text);
  await page.getByRole("button", { name: "Take these readings in" }).click();
}
