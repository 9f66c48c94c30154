/** What takes the place of `fs` on a page, for libraries that ask for it and could do without. */
export const createReadStream = undefined;
