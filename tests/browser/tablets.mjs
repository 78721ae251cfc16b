// Tablets as the tests use them: the bench opened, a tablet paired in a window of its own.

/** The browser's own words on a connection that is away are no complaint of the page. */
const AWAY = /net::ERR_(INTERNET_DISCONNECTED|CONNECTION_REFUSED|CONNECTION_RESET|FAILED|EMPTY_RESPONSE)|status of (403|503)/;

/** Opens the bench as the maker does, unless it is open; its address. */
export async function openBench(shop) {
  const answer = await shop.post("/tablet/open", { address: "127.0.0.1", lasts: 43200 });
  if (answer.status !== 303) throw new Error(`the bench does not open: ${answer.status}`);
  return (await shop.text("/tablet")).match(/reach the bench at <strong>(http:[^<]+)</)[1];
}

export const closeBench = (shop) => shop.post("/tablet/close", {});

/** A fresh code, as it stands on the maker's page. */
export async function code(shop) {
  await shop.post("/tablet/code", { lasts: 43200 });
  return (await shop.text("/tablet")).match(/class="digits">([\d ]+)</)[1];
}

/** The same shop, asked at the bench. */
export const atBench = (shop, bench) => Object.assign(Object.create(Object.getPrototypeOf(shop)), shop, { base: bench });

/** A tablet's page, paired by typing the code. */
export async function pairedTablet(shop, { name = "Bench tablet", ...options } = {}) {
  const bench = await openBench(shop);
  const page = await atBench(shop, bench).window({ viewport: { width: 820, height: 1180 }, ...options });
  await page.goto(bench);
  await page.getByLabel("The code on the maker's screen").fill(await code(shop));
  await page.getByLabel("What this tablet is called").fill(name);
  await page.getByRole("button", { name: "Pair" }).click();
  await page.getByText(`paired as ${name}`).waitFor();
  return { bench, page };
}

/** A paired tablet at a stage of a fresh copy of Heron. */
export async function tabletAtStage(shop, { stage = "beam-P80", ...options } = {}) {
  const commission = await shop.copy("Heron");
  const tablet = await pairedTablet(shop, options);
  await tablet.page.goto(`${tablet.bench}${commission}/bench?stage=${stage}`);
  await tablet.page.locator("#outbox:not([hidden])").waitFor();
  return { commission, ...tablet };
}

export const state = (page) => page.locator("#outbox p").innerText();
export const waits = (page) => page.locator("#outbox li").allInnerTexts();
/** Waits until all is sent, however often that has to be tried anew. */
export async function allSent(page) {
  await page.locator("#outbox p", { hasText: /^All is sent\.$/ }).waitFor({ timeout: 25_000 }).catch(async (error) => { throw new Error(`${await state(page)} (${error.message})`); });
}

/** What a commission's readings page lists. */
export async function read(shop, commission) {
  const page = await shop.window();
  await page.goto(`${shop.base}${commission}/readings`);
  const rows = await page.locator("#list tbody tr").allInnerTexts();
  await page.context().close();
  return rows.map((row) => row.replace(/\s+/g, " "));
}

export function quietButAway(page) {
  const complaints = page.complaints.filter((words) => !AWAY.test(words));
  if (complaints.length) throw new Error(complaints.join("; "));
}
