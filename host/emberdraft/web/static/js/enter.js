// The door: a one-time code makes a person, a password lets them in again.
import { byId, ready, say } from "./dom.js";
import { tell } from "./api.js";
import { startPrefs } from "./prefs.js";

// What stands behind # never goes to the host: the code is in no request line and in no log.
const wanted = new URLSearchParams(location.search).get("then") || "/";
const then = /^\/(?!\/)/.test(wanted) && new URL(wanted, location.origin).origin === location.origin ? wanted : "/";
const behind = location.hash.slice(1);
const link = behind.startsWith("look=") ? behind.slice(5) : "";
byId("code").value = link ? "" : behind;
history.replaceState(null, "", location.pathname);

function onSubmit(id, act) {
  byId(id).addEventListener("submit", async (event) => {
    event.preventDefault();
    say(byId("told"), "");
    try {
      await act();
    } catch (error) {
      say(byId("told"), error.message);
    }
  });
}

onSubmit("pair-form", async () => {
  const { name, password } = await tell("/api/pair", { code: byId("code").value, name: byId("new-name").value });
  say(byId("paired-name"), name);
  say(byId("password"), password);
  for (const id of ["pair-form", "enter-form"]) byId(id).hidden = true;
  byId("paired").querySelector("a").href = then;
  byId("paired").hidden = false;
});

onSubmit("enter-form", async () => {
  await tell("/api/enter", { name: byId("name").value, password: byId("pass").value });
  location.assign(then);
});

if (link) tell("/api/enter/link", { link }).then(() => location.assign(then), (error) => say(byId("told"), error.message));
startPrefs();
(byId("code").value ? byId("new-name") : byId("name")).focus();
ready();
