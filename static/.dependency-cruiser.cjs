// Which room of the page may use which. A room uses only rooms that stand below it in this list.
const ROOMS = ["texts", "format", "log", "engine", "store", "device", "ui", "pictures", "screens"];

const above = (room) => ROOMS.slice(ROOMS.indexOf(room) + 1).join("|");
const upwards = ROOMS.slice(0, -1).map((room) => ({
  name: `${room}-uses-only-rooms-below`,
  severity: "error",
  from: { path: `^${room}/` },
  to: { path: `^(${above(room)})/|^app\\.js$` },
}));

/** Only these may know that library. */
const known = (library, by) => ({
  name: `only-${by.split("/").pop()}-knows-${library}`,
  severity: "error",
  from: { pathNot: `^${by}\\.js$` },
  to: { path: `^vendor/${library}` },
});

module.exports = {
  forbidden: [
    ...upwards,
    {
      name: "no-circles",
      comment: "A circle hides which file comes first.",
      severity: "error",
      from: {},
      to: { circular: true },
    },
    {
      name: "screens-know-nothing-of-each-other",
      comment: "What two screens share lies in ui/ or below.",
      severity: "error",
      from: { path: "^screens/([^/]+)/" },
      to: { path: "^screens/", pathNot: "^screens/$1/" },
    },
    {
      name: "screens-reach-log-and-engine-through-the-store",
      severity: "error",
      from: { path: "^(screens|pictures|ui|device)/" },
      to: {
        path: "^log/(log|transaction|database|first-read|queries|sync|workshop)\\.js$|^engine/(client|worker)\\.js$",
      },
    },
    {
      name: "pictures-know-no-store",
      severity: "error",
      from: { path: "^pictures/" },
      to: { path: "^(store|ui|device)/" },
    },
    { name: "nothing-uses-app", severity: "error", from: {}, to: { path: "^app\\.js$" } },
    { name: "files-exist", severity: "error", from: {}, to: { couldNotResolve: true } },
    {
      name: "nothing-from-outside",
      comment: "Libraries come through vendor/, which the server fills.",
      severity: "error",
      from: {},
      to: { dependencyTypes: ["npm", "npm-dev", "core"] },
    },
    known("idb", "log/transaction"),
    known("micropython", "engine/worker"),
  ],
  options: {
    doNotFollow: { path: "^(node_modules|vendor)/" },
    exclude: { path: "^(node_modules|\\.|eslint)" },
  },
};
