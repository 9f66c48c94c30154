/** Whether threads can share memory here: a page can only when it is isolated from other origins. */
export const CAN_SHARE = typeof SharedArrayBuffer !== 'undefined';

/** Memory that threads share, or ordinary memory where they cannot. @param bytes Length. */
export const sharedMemory = (bytes: number): ArrayBufferLike =>
  CAN_SHARE ? new SharedArrayBuffer(bytes) : new ArrayBuffer(bytes);
