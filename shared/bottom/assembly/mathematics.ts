/** Of JavaScript, so that both forms give the same to the last bit. */
export declare function log(x: f64): f64;
