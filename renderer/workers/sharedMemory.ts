/** The same values in memory that the threads can share; as they are where none can be. */
export function inSharedMemory(values: Float32Array): Float32Array {
  if (!crossOriginIsolated || values.buffer instanceof SharedArrayBuffer) return values
  const copy = new Float32Array(new SharedArrayBuffer(values.byteLength))
  copy.set(values)
  return copy
}
