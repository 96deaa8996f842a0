/** Between tablet and server: requests and answers are lost, late, doubled, overtaken, or come from somebody else's page. */

const PORTAL = "<!doctype html><title>Guest network</title>";

/** @param {import("./world.mjs").World} world how long one way takes, ms */
const way = (world) => 20 + world.whole(80) + (world.happens(world.weather.late) ? world.whole(120000) : 0);

/** @param {any} tab @param {any} server @param {string} url @param {any} options */
export function request(tab, server, url, options) {
  const { world, device } = tab;
  const { method = "GET", headers = {}, body = "", signal } = options ?? {};
  const bytes = ArrayBuffer.isView(body); // a photo's part; the pipe carries text
  const asked = { method, path: url, headers, bytes, body: bytes ? Buffer.from(body).toString("base64") : String(body), cookies: { ...device.cookies } };
  return new Promise((resolve, reject) => {
    const fail = () => reject(new tab.inside.TypeError("Failed to fetch"));
    const alive = (act) => () => !tab.dead && act();
    signal?.onAbort(alive(fail));
    if (world.happens(world.weather.portal)) {
      world.note("captive portal");
      world.after(way(world), alive(() => resolve(answer(tab, 200, PORTAL))));
      return;
    }
    if (world.happens(world.weather.lost)) {
      world.note("request lost");
      world.after(way(world), alive(fail));
      return;
    }
    const arrive = async () => {
      if (!world.serverUp) {
        world.note("server down");
        return world.after(way(world), alive(fail));
      }
      const died = method === "POST" && world.happens(world.weather.died);
      if (died) world.note("server died with the request in hand");
      const given = await world.under(() => server.ask({ kind: "http", now: world.now, died, ...asked }));
      if (died || world.happens(world.weather.answerLost)) {
        world.note("answer lost");
        return world.after(way(world), alive(fail));
      }
      if (world.happens(world.weather.hung)) return world.note("answer never came");
      return world.after(way(world), alive(() => {
        Object.assign(device.cookies, given.cookies);
        resolve(answer(tab, given.status, given.body));
      }));
    };
    world.after(way(world), arrive);
    if (method === "POST" && world.happens(world.weather.twice)) {
      world.note("request doubled");
      world.after(way(world) + world.whole(300000), () => world.serverUp && world.under(() => server.ask({ kind: "http", now: world.now, ...asked })));
    }
  });
}

/** @param {any} tab @param {number} status @param {string} text */
const answer = (tab, status, text) => ({ status, ok: status >= 200 && status < 300, text: async () => text, json: async () => tab.inside.JSON.parse(text) });
