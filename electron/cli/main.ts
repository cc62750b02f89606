import { runCommandLine } from './program'

// Libraries that talk must not end up in what a script reads.
console.log = console.error

// A reader that has seen enough, such as `head`, is no failure.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error
  process.exit(0)
})

process.exitCode = await runCommandLine(process.argv.slice(2), {
  print: (text) => process.stdout.write(text),
  complain: (text) => process.stderr.write(text),
})
