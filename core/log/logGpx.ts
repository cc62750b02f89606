import { PilotError } from '../errors'
import { elementsOf, parseXml, textOf } from '../exchange/xml'
import { say } from '../words/say'
import { flightsOf, LogGatherer, type LogFile } from './flightLog'

/** Flights of the tracks of a GPX file: positions, heights and times. Throws a PilotError. */
export function readGpxLog(text: string, fileName: string): LogFile {
  const root = parseXml(text, fileName, 'gpx', ['trk', 'trkseg', 'trkpt'])
  const gathered = new LogGatherer()
  let [points, timed] = [0, 0]
  for (const track of elementsOf(root, 'trk')) {
    for (const part of elementsOf(track, 'trkseg')) {
      for (const point of elementsOf(part, 'trkpt')) {
        points++
        const timeS = Date.parse(textOf(point, 'time')) / 1000
        if (!Number.isNaN(timeS)) timed++
        const height = textOf(point, 'ele')
        gathered.add(
          {
            timeS,
            latDeg: Number(point['@lat'] || NaN),
            lonDeg: Number(point['@lon'] || NaN),
            heightM: height === '' ? NaN : Number(height),
            signalDbm: NaN,
            takenMah: NaN,
            volts: NaN,
            amps: NaN,
          },
          fileName,
        )
      }
    }
  }
  if (points === 0) {
    throw new PilotError(say('logGpx.holdsNoRecordedTrack', { fileName }))
  }
  if (timed === 0) {
    throw new PilotError(say('logGpx.trackHasNoTimes', { fileName }))
  }
  return flightsOf(gathered, { heightOver: 'sea', isSignalScaled: false }, true, fileName)
}
