// The code may come behind the address, from the picture at the bench: it is filled in and taken out of the address, so that
// it stays in no history. What stands behind "#" never reaches a server.

const field = document.getElementById("code");
const found = /^#code=([0-9A-Za-z-]{8,20})$/.exec(location.hash);
if (field && found) {
  field.value = found[1];
  history.replaceState(null, "", location.pathname + location.search);
  document.getElementById("device-name")?.focus();
}
