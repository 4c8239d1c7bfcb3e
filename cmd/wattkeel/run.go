package main

import (
	"context"
	"fmt"
	"io"

	"github.com/wattkeel/wattkeel/service/spec"
)

// Exit codes.
const (
	exitOK     = 0
	exitNo     = 1 // understood, and the answer is no; or a service that failed
	exitBroken = 2 // usage, or an input that cannot be read or is malformed
)

// call is one call of a subcommand: its arguments and its surroundings.
type call struct {
	args           []string
	env            func(string) string
	stdin          io.Reader
	stdout, stderr io.Writer
}

type command struct {
	name, args, summary string
	run                 func(context.Context, call) int
}

func commands() []command {
	return []command{
		{"serve", "[flags]", "answer requests over HTTP", serve},
		{"health", "[flags]", "ask a running service whether it takes requests", health},
		{"plan", "[flags] FILE", "print the charge plan for the request in FILE, or on standard input where FILE is -", plan},
		{"openapi", "", "print the OpenAPI document of the service", document},
		{"version", "", "print the versions of the service, its rules and its data", version},
	}
}

// run is the whole program but for what the operating system gives it.
func run(ctx context.Context, args []string, env func(string) string, stdin io.Reader, stdout, stderr io.Writer) int {
	if len(args) == 0 {
		usage(stderr)
		return exitBroken
	}
	switch args[0] {
	case "help", "-h", "-help", "--help":
		usage(stdout)
		return exitOK
	}
	var names []string
	for _, c := range commands() {
		if c.name == args[0] {
			return c.run(ctx, call{args: args[1:], env: env, stdin: stdin, stdout: stdout, stderr: stderr})
		}
		names = append(names, c.name)
	}
	say(stderr, "wattkeel: there is no command %q", args[0])
	if n := spec.Nearest(args[0], names); n != "" {
		say(stderr, "; did you mean %q?", n)
	}
	say(stderr, "\n\n")
	usage(stderr)
	return exitBroken
}

func usage(w io.Writer) {
	say(w, "Usage: wattkeel COMMAND [flags]\n\nCommands:\n")
	for _, c := range commands() {
		say(w, "  %-21s %s\n", c.name+" "+c.args, c.summary)
	}
	say(w, "  %-21s %s\n", "help", "print this")
	say(w, "\nwattkeel COMMAND --help lists the flags of a command.\n")
}

// say writes to a terminal or a log, where a failed write can be reported to
// nobody.
func say(w io.Writer, format string, args ...any) {
	_, _ = fmt.Fprintf(w, format, args...)
}
