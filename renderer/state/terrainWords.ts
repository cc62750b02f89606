import type { Crs } from '../../core/geodesy/crs'

/** How well positions of a system are shifted to WGS 84, to be put behind its name. */
export function shiftWords({ shiftErrorM }: Crs): string {
  if (shiftErrorM === undefined) return ''
  return shiftErrorM === null
    ? ', shifted to WGS 84 by its parameters, how well is not known'
    : `, shifted to WGS 84 within about ${shiftErrorM} m`
}
