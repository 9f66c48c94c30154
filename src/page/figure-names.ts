/** File of the figure of the whole lake among the figures of `--svg`. */
export const OVERVIEW = 'overview.svg';
