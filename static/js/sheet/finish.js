/** The way from finish to seal, fetched while the attempt runs. */
export { decide } from "../scoring/decide.js";
export { outcomeScreen } from "./outcome.js";
export { settleScreen } from "./settle.js";
export { signedScreen } from "./signed.js";
