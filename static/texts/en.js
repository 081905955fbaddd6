// Every text of the page in English, by the room that shows it. Another language is a file like this
// one with the same keys. A text with values in it is a function of them, so that each language can put
// them in its own order.

/** The frame: names of screens, what the whole page reports. */
export const app = {
  // end of app
};

/** Numbers, days and names of fields as words. */
export const format = {
  // end of format
};

/** What the device can or cannot do. */
export const device = {
  // end of device
};

/** Parts that several screens share. */
export const ui = {
  // end of ui
};

/** Drawings in words. */
export const pictures = {
  // end of pictures
};

/** What the page adds to the engine's answers. */
export const engine = {
  // end of engine
};

/** What was or was not saved and sent. */
export const store = {
  // end of store
};

/** Bench. */
export const bench = {
  // end of bench
};

/** Pieces. */
export const pieces = {
  // end of pieces
};

/** Plan. */
export const plan = {
  // end of plan
};

/** Forecast. */
export const forecast = {
  // end of forecast
};

/** Records. */
export const records = {
  // end of records
};

/** Stock. */
export const stock = {
  // end of stock
};

/** Setup. */
export const setup = {
  // end of setup
};
