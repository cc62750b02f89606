import { useSignal } from '@preact/signals'
import { host } from '../host/host'
import { coverage, whileHeld, type Coverage } from '../state/coverage'
import { setup } from '../state/setup'
import { fieldThread } from '../state/sweeping'
import { notice, trackWork } from '../state/work'
import { Section } from './Section'

interface Result {
  readonly id: string
  readonly label: string
  readonly fileName: string
  readonly make: (fields: Coverage, flyingHeightM: number) => Promise<Uint8Array>
}

const RESULTS: readonly Result[] = [
  {
    id: 'sight',
    label: 'Clear heights for sight (GeoTIFF)',
    fileName: 'sight.tif',
    make: ({ sightM, frame }) => fieldThread.fieldFile(sightM, frame),
  },
  {
    id: 'fresnel',
    label: 'Clear heights for Fresnel (GeoTIFF)',
    fileName: 'fresnel.tif',
    make: ({ fresnelM, frame }) => fieldThread.fieldFile(fresnelM, frame),
  },
  {
    id: 'picture',
    label: 'Shading (PNG with georeference, zipped)',
    fileName: 'shading.zip',
    make: (fields, heightM) =>
      fieldThread.pictureFile(fields, fields.frame, heightM, fields.errorM),
  },
  {
    id: 'polygons',
    label: 'Shading (GeoJSON polygons by class)',
    fileName: 'shading.geojson',
    make: (fields, heightM) =>
      fieldThread.polygonFile(fields, fields.frame, heightM, fields.errorM),
  },
]

/** Results as files for other programs. */
export function SaveSection() {
  const chosen = useSignal(RESULTS[0].id)
  const result = RESULTS.find(({ id }) => id === chosen.value) ?? RESULTS[0]
  return (
    <Section title="Save results">
      <div class="field field-wide">
        <label for="result-kind">What to save</label>
        <select
          id="result-kind"
          value={chosen.value}
          onChange={(event) => (chosen.value = event.currentTarget.value)}
        >
          {RESULTS.map(({ id, label }) => (
            <option key={id} value={id}>
              {label}
            </option>
          ))}
        </select>
      </div>
      <div class="row">
        <button
          type="button"
          disabled={!coverage.value || coverage.value.isPreview}
          onClick={() => coverage.value && void save(result, coverage.value)}
        >
          Save…
        </button>
      </div>
    </Section>
  )
}

async function save({ make, fileName }: Result, fields: Coverage): Promise<void> {
  const tracked = trackWork(`Making ${fileName}`, null)
  try {
    const bytes = await whileHeld(fields, () => make(fields, setup.value.flyingHeightM))
    await host.saveFile(fileName, bytes)
    notice.value = null
  } catch (error) {
    notice.value = `"${fileName}" could not be saved: ${error instanceof Error ? error.message : String(error)}. Choose another folder or make room on the disk.`
  } finally {
    tracked.end()
  }
}
