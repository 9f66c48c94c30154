/** Name of the folder that keeps what later runs need, next to the logs or the outputs. */
export const STORE_FOLDER = '.downslope';
