/** Of JavaScript, so that both forms give the same to the last bit. */
export declare function sin(x: f64): f64;
export declare function cos(x: f64): f64;
export declare function exp(x: f64): f64;
