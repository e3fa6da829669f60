/** What can be asked for while the attempt runs, fetched right after the page is there. */
export { askText } from "./ask.js";
export { breach } from "./breach.js";
export { catchUp } from "./catchup.js";
export { measure } from "./measure.js";
export { prompt } from "./prompt.js";
export { clockTouched } from "./timing.js";
