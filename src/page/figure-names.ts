/** File name of the whole-lake map among the figures of `--svg`. */
export const OVERVIEW = 'overview.svg';
