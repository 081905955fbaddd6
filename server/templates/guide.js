// The code that the computer's square carries in the address is handed on to the workshop's own page.
const [pair] = /^#pair=[A-Za-z -]{1,20}$/.exec(decodeURI(location.hash)) ?? [];
if (pair) for (const link of document.querySelectorAll("a.page")) link.hash = pair;
