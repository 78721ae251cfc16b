// Only this computer, only these pages.
import { request } from "node:http";

const FORM = "application/x-www-form-urlencoded";

export async function facts() {
  return {
    "a form from another origin is refused": (shop) => refused(shop, { origin: "http://elsewhere.example" }),
    "a form from an origin without a name is refused": (shop) => refused(shop, { origin: "null" }),
    "a cross-site form is refused": (shop) => refused(shop, { "sec-fetch-site": "cross-site" }),
    "a same-site form from another port is refused": (shop) => refused(shop, { "sec-fetch-site": "same-site" }),
    "a foreign host's name is not served": foreignHost,
    "every answer carries the content policy": policy,
    "climbing addresses lead nowhere": climbing,
    "a form of 6 MB is refused and the program lives on": tooLarge,
    "inline script in a page is not run": inlineScript,
    "a page in another page's frame is not shown": framed,
  };
}

/** A request with its path and its headers exactly as given. */
function raw(shop, { path, method = "GET", headers = {}, body }) {
  const { hostname, port } = new URL(shop.base);
  return new Promise((done, fail) => {
    const sent = request({ hostname, port, path, method, agent: false, headers: { host: `${hostname}:${port}`, ...headers } }, (answer) => {
      answer.resume();
      answer.once("end", () => done(answer));
      answer.once("error", () => done(answer));
    });
    sent.on("error", fail);
    sent.end(body);
  });
}

function expect(answer, status, what) {
  if (answer.statusCode !== status) throw new Error(`${what} answers ${answer.statusCode} instead of ${status}`);
}

async function refused(shop, headers) {
  const before = await shop.text("/book");
  const body = "start=plain&title=Stranger";
  expect(await raw(shop, { path: "/book/new", method: "POST", headers: { "content-type": FORM, ...headers }, body }), 403, "the form");
  if (await shop.text("/book") !== before) throw new Error("the book has changed");
}

async function foreignHost(shop) {
  for (const host of ["elsewhere.example", `elsewhere.example:${new URL(shop.base).port}`, "127.0.0.1:1"]) {
    expect(await raw(shop, { path: "/book", headers: { host } }), 421, `the host "${host}"`);
  }
}

async function policy(shop) {
  const heron = await shop.entry("Heron");
  for (const path of ["/book", `${heron}/camber`, `${heron}/commission.toml`, "/nowhere", "/assets/style.css"]) {
    const answer = await raw(shop, { path });
    const words = answer.headers["content-security-policy"] ?? "";
    if (!/default-src 'none'/.test(words) || /unsafe/.test(words)) throw new Error(`${path}: ${words}`);
    if (answer.headers["x-content-type-options"] !== "nosniff") throw new Error(`${path} may be sniffed`);
  }
}

async function climbing(shop) {
  for (const path of ["/assets/../../etc/passwd", "/assets/..%2f..%2fetc%2fpasswd", "/assets/%2e%2e/%2e%2e/etc/passwd", "/../Cargo.toml", "/commission/1/..%2f..%2fbook", "/commission/../kit/1", "//etc/passwd", "/commission/1/camber/../../.."]) {
    expect(await raw(shop, { path }), 404, path);
  }
}

async function tooLarge(shop) {
  const body = `start=text&text=${"a".repeat(6 << 20)}`;
  const headers = { "content-type": FORM, "content-length": body.length };
  expect(await raw(shop, { path: "/book/new", method: "POST", headers, body }), 413, "the form");
  await shop.text("/book");
}

async function inlineScript(shop) {
  const page = await shop.window();
  await page.goto(`${shop.base}/book`);
  await page.evaluate(() => {
    const script = document.createElement("script");
    script.textContent = "document.title = 'run'";
    document.body.append(script);
  });
  if (await page.title() === "run") throw new Error("it was run");
}

async function framed(shop) {
  const page = await shop.window();
  await page.setContent(`<iframe src="${shop.base}/book"></iframe>`);
  await page.waitForTimeout(300);
  const words = await page.frames()[1]?.evaluate(() => document.body?.innerText ?? "").catch(() => "");
  if (/Every instrument/.test(words)) throw new Error("it is shown in a frame");
}
