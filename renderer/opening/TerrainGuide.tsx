import { signal } from '@preact/signals'
import { ModalSheet } from './ModalSheet'

export const guideIsOpen = signal(false)

interface Kind {
  readonly name: string
  readonly cells: string
  readonly shows: string
  readonly states: string
  readonly take: string
}

/** Stated accuracies are from memory unless said otherwise; see the note under the table. */
const KINDS: readonly Kind[] = [
  {
    name: 'Laser survey of a country or region',
    cells: '0.5 to 2 m',
    shows: 'Both: a ground model without trees, and a surface model with trees and roofs.',
    states: '0.1 to 0.3 m on open ground; worse on cliffs and under dense wood.',
    take: 'First choice. Ground model as terrain, surface model of the same survey on top of it.',
  },
  {
    name: 'National model from air photographs or maps',
    cells: '5 to 20 m',
    shows: 'Mostly ground, with trees left in here and there.',
    states: '1 to 5 m, several times that on steep ground.',
    take: 'Good for ridges and valleys. Add the height of trees yourself.',
  },
  {
    name: 'Global radar model of 2011 to 2015 (Copernicus GLO-30)',
    cells: '30 m (1 arc second)',
    shows: 'Surface: radar sees part of the tree crowns, snow and ice of its time.',
    states: '4 m for nine heights in ten; more on slopes over 20 %.',
    take: 'The global model to begin with. Sharp ridges come out too low: keep more height.',
  },
  {
    name: 'Global radar model of 2000 (SRTM and its reworkings)',
    cells: '30 m, in places 90 m',
    shows: 'Surface, as above. Voids and filled voids on steep ground; nothing past 60° north.',
    states: '16 m for nine in ten promised, 6 to 9 m found.',
    take: 'Where the newer one is missing or looks wrong.',
  },
  {
    name: 'Global model from satellite photographs (ASTER)',
    cells: '30 m',
    shows: 'Surface, with bumps and pits where clouds were.',
    states: '10 to 25 m.',
    take: 'Last resort for planning flights.',
  },
]

/** Help on where open elevation comes from and which to take. */
export function TerrainGuide() {
  return guideIsOpen.value && <Guide />
}

function Guide() {
  const close = () => (guideIsOpen.value = false)
  return (
    <ModalSheet
      class="guide"
      title="Where to get terrain"
      onClose={close}
      foot={
        <>
          <button type="button" class="primary" onClick={close}>
            Close
          </button>
        </>
      }
    >
      <div class="sheet-text" tabIndex={0} aria-label="Guide">
        <p>
          Colsight reads GeoTIFF files (.tif), one or many. Most countries give theirs away: look in
          the geoportal of the country or region for “digital terrain model”, “digital elevation
          model” or “laser scanning” in its language (DTM, DEM, DGM, MDT, MNT, NMT). The global
          models come from the archives of the space agencies, in tiles of one degree. Take the
          finest there is around where you stand and along every ridge you fly over; a coarser model
          may lie around it. Open them together: the finest is used where it has data.
        </p>
        <table>
          <thead>
            <tr>
              <th scope="col">Kind</th>
              <th scope="col">Cells</th>
              <th scope="col">What it shows</th>
              <th scope="col">Accuracy stated</th>
              <th scope="col">Take it</th>
            </tr>
          </thead>
          <tbody>
            {KINDS.map(({ name, cells, shows, states, take }) => (
              <tr key={name}>
                <th scope="row">{name}</th>
                <td>{cells}</td>
                <td>{shows}</td>
                <td>{states}</td>
                <td>{take}</td>
              </tr>
            ))}
          </tbody>
        </table>
        <p class="small">
          Accuracies are those their makers usually state, from memory and rounded; the sheet that
          comes with the data counts. The figure for the model of 2000 as found: Rodriguez, Morris
          and Belz, Photogrammetric Engineering and Remote Sensing 72/3 (2006), from memory.
        </p>
        <h3>Ground or surface?</h3>
        <p>
          A <strong>ground model</strong> (terrain model, bare earth) leaves out trees and houses.
          The radio path does not: over wooded ground the picture goes sooner than a ground model
          shows. Give the height of the trees under “What stands on the ground”, or lay the surface
          model of the same survey over it. For landing and walking the ground model is the right
          one.
        </p>
        <p>
          A <strong>surface model</strong> shows the top of what stood there when it was flown. As
          the only terrain it is the careful choice for the radio path; but it hides clearings,
          makes wood look like a rough hill to land on, and puts an aircraft “on the ground” on top
          of the trees. Do not add tree heights to it.
        </p>
        <h3>Before you use one</h3>
        <ul>
          <li>
            Heights should be above sea level. Heights above the ellipsoid are off by up to 100 m,
            all by nearly the same amount on one site: clear heights stay right, heights above sea
            level do not.
          </li>
          <li>
            A file that does not name its coordinate system cannot be placed. Keep the .prj and .tfw
            files beside it, or give the EPSG code that its maker states.
          </li>
          <li>
            Compare a summit and a lake with a map. No model shows wires, masts, cranes, new woods
            or this year’s snow.
          </li>
        </ul>
      </div>
    </ModalSheet>
  )
}
