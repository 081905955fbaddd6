// The code that the computer's square carries in the address is handed on to the workshop's own page. A phone may load
// this one again after minutes in its Settings, at another place of it: so the code is kept while the tab is open.
const [given] = /^#pair=[A-Za-z -]{1,20}$/.exec(decodeURI(location.hash)) ?? [];
if (given) sessionStorage.setItem("pair", given);
const pair = sessionStorage.getItem("pair");
if (pair) for (const link of document.querySelectorAll("a.page")) link.hash = pair;
