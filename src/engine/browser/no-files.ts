export const createReadStream = undefined;

/** What takes the place of `fs` on a page, for libraries that ask for it and could do without. */
// biome-ignore lint/style/noDefaultExport: they import it as a whole
export default { createReadStream };
