/** Of JavaScript, so that both forms give the same to the last bit. */
export declare function hypot(x: f64, y: f64): f64;
