// Readings and bench mode, empty, filled and with faults: sound, quiet, fitting, accessible.
import { accessible, fits } from "./pages.mjs";
import { another, begun, hump, table, takeIn } from "../visits.mjs";

/** These tests only look, so that several can run side by side. */
export const sideBySide = 2;

export async function facts(shop) {
  const all = {};
  for (const [name, address] of Object.entries(await addresses(shop))) {
    all[`${name} answers 200 without a complaint and fits every width`] = (visit) => fits(visit, address);
    all[`${name} gives axe nothing to find`] = (visit) => accessible(visit, address);
  }
  return all;
}

const FAULTY = `${table(0.3, hump)}\nthickness,fret 3,centre,thick`;

async function addresses(shop) {
  const empty = await shop.copy("Heron");
  const fresh = await begun(shop);
  const filled = await begun(shop);
  await takeIn(shop, filled.commission, filled.visit, table(0.5, hump));
  const second = await another(shop, filled.commission, { name: "2" });
  await takeIn(shop, filled.commission, second.visit, table(0.3));
  const faulty = await begun(shop);
  await shop.post(`${faulty.commission}/readings`, { page: "readings", visit: faulty.visit, text: FAULTY, keep: "sound", sent_key: "faulty" });
  const batch = (await shop.text(faulty.address)).match(/name="batch" value="(\d+)"/)[1];
  await shop.post(`${faulty.commission}/set-aside`, { page: "readings", visit: faulty.visit, batch, line: 2, reason: "slipped" });
  return {
    "readings, empty": `${empty}/readings`,
    "readings, begun": fresh.address,
    "readings, filled": second.address.replace(/fret=\d+/, "fret=9"),
    "readings, with faults": faulty.address,
    "the bench, empty": `${empty}/bench?stage=beam-P80`,
    "the bench, begun": `${fresh.commission}/bench?stage=beam-P80`,
    "the bench, filled": `${filled.commission}/bench?stage=beam-P80`,
    "the bench, a block": `${filled.commission}/bench`,
  };
}
