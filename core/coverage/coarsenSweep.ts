import type { SweepSettings } from './fan'

/** The same launch point in terms of a coarser grid; the antenna keeps its true height. */
export function coarsenSweep(settings: SweepSettings, factor: number): SweepSettings {
  return {
    ...settings,
    col: (settings.col + 0.5) / factor - 0.5,
    row: (settings.row + 0.5) / factor - 0.5,
    groundCellM: settings.groundCellM * factor,
    radiusCells: settings.radiusCells / factor,
    clearingCells: settings.clearingCells / factor,
  }
}
