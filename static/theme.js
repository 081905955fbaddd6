// Forge (dark), daylight (light), or as the system has it; one hand or the other. Set on the root element.

/** @param {{own: (name: string, fallback?: any) => any}} store */
export function applyTheme(store) {
  const root = document.documentElement;
  const theme = store.own("theme", "system");
  if (theme === "system") delete root.dataset.theme;
  else root.dataset.theme = theme;
  root.dataset.hand = store.own("hand", "right");
}
