import { Command, CommanderError, Option } from 'commander'
import { PilotError } from '../../core/errors'
import { USUAL_LANDING } from '../../core/landing/areas'
import { USUAL_STAND } from '../../core/launch/spots'
import { USUAL_WALK } from '../../core/landing/walk'
import { STANDARD_K_FACTOR } from '../../core/geodesy/earth'
import { USUAL_FRESNEL_FRACTION } from '../../core/propagation/fresnel'
import { PAPERS } from '../../core/brief/words'
import { COORDINATE_STYLES } from '../../core/geodesy/coordinates'
import { UNITS } from '../../core/words/units'
import { briefCommand } from './briefCommand'
import { coverageCommand } from './coverageCommand'
import { inspectCommand } from './inspectCommand'
import { landingCommand } from './landingCommand'
import { profileCommand } from './profileCommand'
import { routeCommand } from './routeCommand'
import { spotsCommand } from './spotsCommand'
import { withAssumptions, withTerrain } from './terrain'
import { extras, heightM, latLon, number, positive, sector } from './values'

/** Exit statuses of the command line. */
const FAILED = 1
const BAD_USAGE = 2

const VIDEO_LINK_MHZ = 5800
const CLEARING_M = 60

/** Where what is asked for, and what goes wrong, is written. */
export interface Output {
  readonly print: (text: string) => void
  readonly complain: (text: string) => void
}

/**
 * Runs the command line on the words after its name.
 * @returns the exit status: 0 done, 1 failed or not sound, 2 asked for what there is not
 */
export async function runCommandLine(words: readonly string[], output: Output): Promise<number> {
  let status = 0
  try {
    await commands(output, () => (status = FAILED)).parseAsync(words, { from: 'user' })
    return status
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : BAD_USAGE
    const sentence = error instanceof Error ? error.message : String(error)
    const message = error instanceof PilotError ? sentence : `Colsight failed: ${sentence}`
    output.complain(`${message.replaceAll('\n', ' ')}\n`)
    return FAILED
  }
}

function commands(output: Output, fail: () => void): Command {
  const print = (text: string) => output.print(`${text}\n`)
  const colsight = new Command('colsight')
    .description('Line of sight, coverage, routes and landing areas over a DEM GeoTIFF.')
    .exitOverride()
    .showSuggestionAfterError(false)
    .configureOutput({
      writeOut: output.print,
      writeErr: output.complain,
      outputError: (text, write) => write(text.replace(/^error: /, '')),
    })

  withAssumptions(
    colsight
      .command('inspect')
      .description('What terrain files are: system, cells, heights, voids, odd values.'),
  )
    .argument('<files...>', 'GeoTIFF files')
    .option('--json', 'print one JSON array')
    .action(async (paths: string[], options) => {
      const { text, isSound } = await inspectCommand(paths, {
        ...options,
        json: options.json === true,
      })
      print(text)
      if (!isSound) fail()
    })

  command(colsight, 'profile', 'Terrain, ray and first Fresnel zone between two points.')
    .requiredOption('--from <lat,lon>', 'launch point, decimal degrees', latLon)
    .requiredOption('--from-height <m>', 'launch antenna above ground, metres', heightM)
    .requiredOption('--to <lat,lon>', 'target, decimal degrees', latLon)
    .requiredOption('--to-height <m>', 'aircraft above ground, metres', heightM)
    .option('--link <file>', 'link as JSON: its budget is worked out')
    .addOption(
      new Option('--foliage <how>', 'vegetation in the way')
        .choices(['solid', 'lossy'])
        .default('solid'),
    )
    .action(async (options) => {
      const radio = { ...radioOf(options), fresnelFraction: USUAL_FRESNEL_FRACTION }
      print(await profileCommand({ ...options, radio, json: options.json === true }))
    })

  command(colsight, 'coverage', 'Clear heights and coverage of the whole terrain.')
    .requiredOption('--launch <lat,lon>', 'launch point, decimal degrees', latLon)
    .option('--antenna-height <m>', 'launch antenna above ground, metres', heightM, 2)
    .option('--flying-height <m>', 'aircraft above ground, metres', heightM, 60)
    .option(
      '--fresnel <share>',
      'wanted share of the Fresnel radius',
      number,
      USUAL_FRESNEL_FRACTION,
    )
    .option(
      '--radius <km>',
      'farthest distance looked at, kilometres (default: whole grid)',
      positive,
    )
    .option(
      '--sector <azimuth,width>',
      'part of the horizon, degrees (default: all around)',
      sector,
    )
    .option(
      '--uncertainty <m>',
      'vertical error of the terrain, metres (default: usual for its cell size)',
      heightM,
    )
    .option('--link <file>', 'link as JSON: margin.tif is written')
    .option(
      '--also <what>',
      'write more: shading (PNG with georeference), polygons (GeoJSON)',
      extras,
    )
    .requiredOption('--out <dir>', 'folder for sight.tif, fresnel.tif and coverage.png')
    .action(async (options) => {
      const radio = { ...radioOf(options), fresnelFraction: options.fresnel }
      const radiusKm = options.radius ?? null
      const sectorOrAll = options.sector ?? null
      print(
        await coverageCommand({
          ...options,
          radio,
          radiusKm,
          sector: sectorOrAll,
          uncertainty: options.uncertainty ?? null,
          also: options.also ?? [],
          json: options.json === true,
        }),
      )
    })

  command(colsight, 'landing-areas', 'Places to put it down, with picture and a way on foot.')
    .requiredOption('--launch <lat,lon>', 'launch point, decimal degrees', latLon)
    .option('--antenna-height <m>', 'launch antenna above ground, metres', heightM, 2)
    .option('--steepest <deg>', 'steepest slope, degrees', positive, USUAL_LANDING.steepestDeg)
    .option('--roughness <m>', 'roughest ground, metres', positive, USUAL_LANDING.roughestM)
    .option('--smallest <m2>', 'smallest area, square metres', positive, USUAL_LANDING.smallestM2)
    .option('--from-obstacles <m>', 'kept from obstacles', heightM, USUAL_LANDING.fromObstaclesM)
    .option(
      '--from-edges <m>',
      'kept from edges of steep ground',
      heightM,
      USUAL_LANDING.fromEdgesM,
    )
    .option('--road-head <lat,lon>', 'where walking begins (default: launch point)', latLon)
    .option('--walk-steepest <deg>', 'steepest ground walked', positive, USUAL_WALK.steepestDeg)
    .option(
      '--off-path <factor>',
      'walking speed off paths, share of that on paths',
      positive,
      USUAL_WALK.offPathFactor,
    )
    .option('--link <file>', 'link as JSON: its margin at the ground is worked out')
    .option('--geojson <file>', 'write the areas as GeoJSON')
    .action(async (options) => {
      print(
        await landingCommand({
          ...options,
          radio: { ...radioOf(options), fresnelFraction: USUAL_FRESNEL_FRACTION },
          limits: {
            steepestDeg: options.steepest,
            roughestM: options.roughness,
            smallestM2: options.smallest,
            fromObstaclesM: options.fromObstacles,
            fromEdgesM: options.fromEdges,
          },
          walk: { steepestDeg: options.walkSteepest, offPathFactor: options.offPath },
          json: options.json === true,
        }),
      )
    })

  withTerrain(
    colsight
      .command('launch-spots')
      .description('Where to stand so that the route of a plan is in the picture.'),
  )
    .requiredOption('--plan <file>', 'plan as the window saves it')
    .addOption(
      new Option('--by <what>', 'what counts')
        .choices(['margin', 'fresnel', 'sight'])
        .default('margin'),
    )
    .option('--steepest <deg>', 'steepest ground to stand on', positive, USUAL_STAND.steepestDeg)
    .option('--walk <min>', 'longest way on foot, minutes', positive, 60)
    .option('--road-head <lat,lon>', 'where walking begins (default: as in the plan)', latLon)
    .option('--count <n>', 'how many spots', positive, 10)
    .option('--spacing <m>', 'distance between spots', positive, 250)
    .option('--json', 'print one JSON object')
    .action(async (options) => {
      print(
        await spotsCommand({
          ...options,
          score: options.by,
          limits: { steepestDeg: options.steepest, longestWalkS: options.walk * 60 },
          spacingM: options.spacing,
          json: options.json === true,
        }),
      )
    })

  withTerrain(
    colsight
      .command('route')
      .description('Legs, corridor, energy and point of no return of the route in a plan.'),
  )
    .requiredOption('--plan <file>', 'plan as the window saves it')
    .option('--surface <file>', 'surface model (GeoTIFF) that shows trees and buildings')
    .option('--json', 'print one JSON object')
    .action(async (options) => {
      print(await routeCommand({ ...options, json: options.json === true }))
    })

  withTerrain(
    colsight
      .command('brief')
      .description('The field brief of a plan as one HTML file, for paper and for the phone.'),
  )
    .requiredOption('--plan <file>', 'plan as the window saves it')
    .requiredOption('--out <file>', 'HTML file to write')
    .option('--surface <file>', 'surface model (GeoTIFF) that shows trees and buildings')
    .option('--target <lat,lon>', 'a place whose link budgets are worked out as well', latLon)
    .addOption(new Option('--paper <size>', 'page size').choices(PAPERS).default('a4'))
    .addOption(new Option('--units <units>', 'units').choices(UNITS).default('metric'))
    .addOption(
      new Option('--positions <style>', 'how positions are written')
        .choices(COORDINATE_STYLES)
        .default('decimal'),
    )
    .action(async (options) => print(await briefCommand(options)))
  return colsight
}

/** A subcommand with the options that all of them share. */
function command(parent: Command, name: string, description: string): Command {
  return withTerrain(parent.command(name).description(description))
    .option('--frequency <mhz>', 'radio frequency, megahertz', positive, VIDEO_LINK_MHZ)
    .option('--k-factor <k>', 'effective Earth radius factor', positive, STANDARD_K_FACTOR)
    .option('--vegetation <m>', 'height of uniform vegetation, metres', heightM, 0)
    .option('--tree-line <m>', 'no vegetation on ground above this height, metres AMSL', number)
    .option(
      '--clearing <m>',
      'no vegetation within this distance of the launch point',
      heightM,
      CLEARING_M,
    )
    .option('--surface <file>', 'surface model (GeoTIFF) that shows trees and buildings')
    .option('--obstacles <file>', 'GeoJSON with a property height_m on every feature')
    .option('--json', 'print one JSON object')
}

function radioOf(options: { frequency: number; kFactor: number }) {
  return { frequencyMhz: options.frequency, kFactor: options.kFactor }
}
