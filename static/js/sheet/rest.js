/** All that the first mark does not need, fetched together when the clock starts. */
export { decide } from "../scoring/decide.js";
export { askText } from "./ask.js";
export { breach } from "./breach.js";
export { catchUp } from "./catchup.js";
export { measure } from "./measure.js";
export { More } from "./more.js";
export { outcomeScreen } from "./outcome.js";
export { prompt } from "./prompt.js";
export { settleScreen } from "./settle.js";
export { signedScreen } from "./signed.js";
export { statedScreen } from "./stated.js";
export { clockTouched } from "./timing.js";
