// Run in the page with `store` at hand: each field that a form can write is said once; a ring is let go of. Returns the ids.
const id = () => store.newId(), ids = [];
const put = async (thing, fields) => { const one = id(); ids.push(one); await store.set(thing, one, fields); return one; };
const ring = await put("ring", { kind: "riveted", wire_mm: 1.6, inner_mm: 8, lap_mm: 3.2, metal: "galvanised steel", rivet_mm: 1, rivet_kind: "wedge", rivet_point_mm: 0.5, flat_mm: 0.8,
  kerf_mm: 0.1, mandrel_length_mm: 200, mandrel_mm_used: 8, coil_inner_mm: 8.3, reel_kg: 5, cut: "straight" });
const gone = await put("ring", { kind: "butted", wire_mm: 1.2, inner_mm: 8, density_g_cm3: 7.8, zinc: true, metal: null });
const swatch = await put("swatch", { columns: 20, rows: 20, width_mm: 150, height_mm: 140, state: "hang", ring });
const shapes = [{ kind: "panel", width_mm: 200, height_mm: 160 }, { kind: "panel", rows: 11, columns: 24 }, { kind: "tube", around_mm: 300, length_mm: 200 },
  { kind: "taper", from_mm: 330, to_mm: 220, length_mm: 200, round: true }, { kind: "taper", from_mm: 330, to_mm: 220, length_mm: 200, round: false },
  { kind: "collar", neck_mm: 450, slant_mm: 120, angle_deg: 45 }, { kind: "profile", round: false, widths: [[0, 300], [150, 240]] },
  { kind: "count", rings: 50, open: 10 }, { kind: "count", items: { unit: 30, unit_join: 20 } }];
const piece = await put("piece", { name: "Sleeves of every shape", mark: "ring", state: "open", order: 4, ring, fabric: "hang", swatch, customer: "The players' guild", notes: "By the yard",
  due: "2027-10-01", rules: { overlap: "right_over_left", heads: "outside", note: "Oil it" }, without: ["soften", "soften_again"], sure: 0.9,
  finishing: [{ step: "own_edge_rings", name: "Edge rings", item: "ring", items: 40, guess_min_per_item: 2, after: "chain_join", caution: "Sharp" }],
  joins: [{ how: "end_to_end", panels: ["P0", "Panel"] }, { how: "round", panels: ["P0"] }, { how: "rings", panels: [], rings: 12 }],
  losses: { soften_again: { good: 10, bad: 1 }, unit_join: { good: 10, bad: 0 } }, consumables: [{ name: "gas", unit: "kg", per_1000_rings: 0.4 }], reels: ["Big reel"], costs: [{ name: "Lining", amount: 1250 }] });
for (const [k, shape] of shapes.entries())
  await put("panel", { piece, name: k === 1 ? "Panel" : `P${k}`, order: k, shape, state: k ? "across" : "flat", rows_run: k < 3 ? "down" : "round", units_per_chain: 6, max_change: k === 3 ? 4 : null, ring: k === 4 ? gone : ring, swatch });
await store.set("ring", gone, { deleted: true });
const lane = await put("lane", { piece, step: "soften_again", order: 5, batch: 20, name: null, mark: "wave", colour: "quench", pinned: true });
await put("lane", { piece: "coif", step: "unit_join", order: 6 });
await store.set("lane", lane, { deleted: true });
await store.set("step", "soften_again", { guess_min_per_item: 0.1, lump: 20, practised: "old_hand" });
await store.set("step", "unit_join", { trial: { minutes: 9.5, items: 8, date: "2026-11-02" } });
await put("reel", { name: "Reel 2", metal: "mild steel", wire_mm: 1.6, how: "use", start_g: 5000, used_m: 20, per_kg: 480, order: 2, batch: "B7" });
await put("reel", { name: "Reel 3", metal: "brass", density_g_cm3: 8.5, wire_mm: 1, how: "weight", gross_g: 900, empty_g: 120, order: 3 });
await put("rings", { ring, n: 500, order: 1 });
await put("rings", { ring: gone, n: 20, order: 2 });
await store.set("price", "gas", { per_unit: 450 });
for (const [name, value] of Object.entries({ queue: "in_turns", off_days: ["2026-12-24", "2026-12-25"], delivery_days: 9, spare_days: 5, margin_on: "cost", wire_per_kg: 700, break_min: 45,
  overhead_percent: 10, tax_percent: 19, deposit_percent: 30 })) await store.setSetting(name, value);
for (const [name, value] of Object.entries({ theme: "dark", hand: "left", letters: true, awake: false, click: false, buzz: false, speak_every: 20, said_lacks: ["voice"], "weigh:soften_again": { rings: "20", grams: "6" } }))
  await store.setOwn(name, value);
await store.counting.count(piece, "soften_again", 3, { how: "hand" }).saved;
await store.counting.count(piece, "unit_join", 5, { how: "weigh" }).saved;
await store.counting.scrap(piece, "unit_join", 1, "bent").saved;
await store.counting.undo();
await store.counting.count("coif", "unit_join", 1).saved;
await store.counting.hold("coif", "unit_join", 1, "bounce");
const [sitting] = await history.sittings();
await history.correctSitting(sitting.sitting, { minutes: 20, items: sitting.items + 2 });
await store.clock.stop();
await store.answers.freshen();
return [piece, ...ids, store.device];
