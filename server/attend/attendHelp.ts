import { usage } from "./attendSettings.ts";

/** What `rungbook attend --help` says. */
export const attendHelp = `${usage}

On the machine under test: waits until an attempt of the build is armed, runs your load in its place and says
how it ended. It never sets a clock or a voltage.

  --server ADDRESS        where the journal is, such as http://laptop:4780
  --build NAME            which build this machine is
  --name NAME             what this machine is called, where its host name will not do
  --passphrase-file FILE  where the server asks for one
  --for 20m               where the attempt names no time
  --once                  one run, then no more
  --evening               asks at each start of the machine; three deaths within an hour end it
  --settle 60s            waits so long after its start; with --evening a minute, else not at all
  --stop-at 92            ends at this many °C; else 3 under the chip's limit
  --progress PATTERN      a line of new work; needed for graphics loads
  --wrong PATTERN         a line that says the load computed wrongly, whatever it exits with
  --exit 1=wrong-result   what an exit means; once for each
  --read COMMAND          readings from a program that prints lines of name=value unit
  --follow FILE.csv       readings from another recorder's growing log
  --try-cut-out           sees whether heat ends the load, and attends nothing
  --unit                  prints units for the service manager, and attends nothing
  --spool, --sysfs, --proc, --reader DIR
                          other places than usual`;

/** Whether it was asked for: what stands behind "--" is the load's own. */
export const asksForHelp = (args: readonly string[]): boolean => {
  const own = args.includes("--") ? args.slice(0, args.indexOf("--")) : args;
  return own.includes("--help") || own.includes("-h");
};
