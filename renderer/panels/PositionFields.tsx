import type { LatLon } from '../../core/geodesy/earth'
import { NumberField } from './NumberField'

interface PositionFieldsProps {
  /** Said before "latitude" and "longitude" to a screen reader; empty where it is plain. */
  readonly of?: string
  readonly at: LatLon
  readonly onChange: (to: LatLon) => void
}

/** Latitude and longitude of a point in decimal degrees. */
export function PositionFields({ of, at, onChange }: PositionFieldsProps) {
  const label = (axis: string) => (of ? `${of} ${axis.toLowerCase()}` : axis)
  return (
    <>
      <NumberField
        label={label('Latitude')}
        unit="°"
        value={at.latDeg}
        digits={5}
        min={-90}
        max={90}
        step={0.001}
        help="North is positive. Drag the marker on the map, or type."
        onChange={(latDeg) => onChange({ ...at, latDeg })}
      />
      <NumberField
        label={label('Longitude')}
        unit="°"
        value={at.lonDeg}
        digits={5}
        min={-180}
        max={180}
        step={0.001}
        help="East is positive. Drag the marker on the map, or type."
        onChange={(lonDeg) => onChange({ ...at, lonDeg })}
      />
    </>
  )
}
