export const createReadStream = undefined;

/** Replaces `fs` in a browser, for libraries that import it without needing it. */
// biome-ignore lint/style/noDefaultExport: the libraries use the default import
export default { createReadStream };
