/** True when threads can share memory; in a page, only when the page is isolated from other origins. */
export const CAN_SHARE = typeof SharedArrayBuffer !== 'undefined';

export const sharedMemory = (bytes: number): ArrayBufferLike =>
  CAN_SHARE ? new SharedArrayBuffer(bytes) : new ArrayBuffer(bytes);
