import { coverageBench } from './coverage.bench'
import { flownBench } from './flown.bench'
import { landingBench } from './landing.bench'
import { launchBench } from './launch.bench'
import { repaintBench } from './repaint.bench'
import { routeBench } from './route.bench'
import { terrainBench } from './terrain.bench'

await terrainBench()
await coverageBench()
await repaintBench()
await routeBench()
await landingBench()
await launchBench()
await flownBench()
