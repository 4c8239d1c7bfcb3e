// Command wattkeel plans the charging of hobby battery packs: as a service
// over HTTP, or one plan at a time from a file.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM, os.Interrupt)
	// Once told to stop, a second signal ends the process in the usual way.
	context.AfterFunc(ctx, stop)
	os.Exit(run(ctx, os.Args[1:], os.Getenv, os.Stdin, os.Stdout, os.Stderr))
}
