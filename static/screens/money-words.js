// Sums of money for reading, from whole numbers of the smallest unit.
import { figure } from "../figures.js";

/** @param {number} amount @param {{digits: number}} currency */
export const sum = (amount, { digits }) => figure(amount / 10 ** digits, digits);
