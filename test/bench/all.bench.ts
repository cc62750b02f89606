import { coverageBench } from './coverage.bench'
import { landingBench } from './landing.bench'
import { launchBench } from './launch.bench'
import { repaintBench } from './repaint.bench'
import { routeBench } from './route.bench'

await coverageBench()
await repaintBench()
await routeBench()
await landingBench()
await launchBench()
