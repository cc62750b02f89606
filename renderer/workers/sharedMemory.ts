/** Room for values in memory that the threads can share; in this thread's own where none can be. */
export function sharedFloats(length: number): Float32Array {
  return crossOriginIsolated
    ? new Float32Array(new SharedArrayBuffer(length * Float32Array.BYTES_PER_ELEMENT))
    : new Float32Array(length)
}

/** The same values in memory that the threads can share; as they are where none can be. */
export function inSharedMemory(values: Float32Array): Float32Array {
  if (!crossOriginIsolated || values.buffer instanceof SharedArrayBuffer) return values
  const copy = sharedFloats(values.length)
  copy.set(values)
  return copy
}
