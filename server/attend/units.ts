import path from "node:path";

/** Units of the service manager: the attendant for one user, and a reader of what only root may read. */
export function unitFilesFor(node: string, argv: readonly string[]): string {
  const [, program = "", ...words] = argv;
  const kept = words.filter(
    (word, i) => !(word === "--unit" && (words.indexOf("--") < 0 || i < words.indexOf("--"))),
  );
  const command = [node, path.resolve(program), ...kept].map(quoted).join(" ");
  return `# ~/.config/systemd/user/rungbook-attend.service, then: systemctl --user enable --now rungbook-attend
# and, so that it comes up without anybody signing in: loginctl enable-linger
[Unit]
Description=Attends a build under test
StartLimitIntervalSec=0

[Service]
ExecStart=${command}
Restart=on-failure
RestartSec=5
KillMode=control-group
TimeoutStopSec=20
# One that hangs says nothing any more and is ended with its load; and no load goes on for longer than a day.
WatchdogSec=30
NotifyAccess=all
RuntimeMaxSec=86400
NoNewPrivileges=yes
OOMPolicy=continue

[Install]
WantedBy=default.target

# /etc/systemd/system/rungbook-reader.service: copies, as root, the kernel's words on errors and the energy counters
# to where the attendant may read them. The counters can tell a patient onlooker of what else a machine does: leave it
# out on a machine that others use.
[Unit]
Description=Lets an attendant read kernel errors and energy counters

[Service]
RuntimeDirectory=rungbook-reader
RuntimeDirectoryMode=0755
ExecStart=/bin/sh -c 'journalctl -k -b -f -n all -o short-iso > "$$RUNTIME_DIRECTORY/kernel" & while :; do for c in /sys/class/powercap/*:*; do [ -r "$$c/energy_uj" ] && cat "$$c/energy_uj" > "$$RUNTIME_DIRECTORY/energy-$\${c##*/}"; done; sleep 1; done'
Restart=always
ProtectHome=yes
ProtectSystem=strict
PrivateNetwork=yes

[Install]
WantedBy=multi-user.target`;
}

/** As the service manager reads it: quoted where needed, its own signs doubled. */
function quoted(word: string): string {
  const plain = word.replaceAll("%", "%%").replaceAll("$", "$$$$");
  return /^[\w@%+=:,./-]+$/.test(plain)
    ? plain
    : `"${plain.replaceAll("\\", "\\\\").replaceAll('"', '\\"')}"`;
}
