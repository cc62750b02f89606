import type { LatLon } from '../../core/geodesy/earth'
import { say } from '../../core/words/say'
import { NumberField } from './NumberField'

interface PositionFieldsProps {
  /** Said before "latitude" and "longitude" to a screen reader; empty where it is plain. */
  readonly of?: string
  readonly at: LatLon
  readonly onChange: (to: LatLon) => void
}

/** Latitude and longitude of a point in decimal degrees. */
export function PositionFields({ of, at, onChange }: PositionFieldsProps) {
  return (
    <>
      <NumberField
        label={of ? say('position.latitudeOf', { of }) : say('common.latitude')}
        unit="°"
        value={at.latDeg}
        digits={5}
        min={-90}
        max={90}
        step={0.001}
        help={say('position.northPositiveDragMarker')}
        onChange={(latDeg) => onChange({ ...at, latDeg })}
      />
      <NumberField
        label={of ? say('position.longitudeOf', { of }) : say('common.longitude')}
        unit="°"
        value={at.lonDeg}
        digits={5}
        min={-180}
        max={180}
        step={0.001}
        help={say('position.eastPositiveDragMarker')}
        onChange={(lonDeg) => onChange({ ...at, lonDeg })}
      />
    </>
  )
}
