package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"syscall"
	"time"

	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/openapi"
	"github.com/wattkeel/wattkeel/service/spec"
)

const defaultListen = "127.0.0.1:8080"

func serve(ctx context.Context, c call) int {
	cfg, t := api.Config{}, api.DefaultTimeouts()
	fs := newFlags("serve")
	listen := fs.String("listen", defaultListen, "address to listen on; port 0 chooses a free one")
	fs.Int64Var(&cfg.BodyLimit, "body-limit", api.DefaultBodyLimit, "largest body in bytes")
	fs.IntVar(&cfg.MaxInFlight, "max-in-flight", api.DefaultMaxInFlight, "requests worked on at once")
	fs.IntVar(&cfg.MaxQueue, "max-queue", api.DefaultMaxQueue, "requests that wait for a turn beyond those")
	fs.DurationVar(&cfg.QueueWait, "queue-wait", api.DefaultQueueWait, "longest wait for a turn before a request is refused")
	fs.DurationVar(&t.Read, "read-timeout", t.Read, "longest time for a request to arrive")
	fs.DurationVar(&t.Write, "write-timeout", t.Write, "longest time from a request's header to the end of its answer")
	fs.DurationVar(&t.Drain, "drain", t.Drain, "how long to go on after /readyz has turned 503, so that a proxy notices")
	fs.DurationVar(&t.Grace, "grace", t.Grace, "how long requests may take to end after that")
	if code, ok := parse(fs, c, "[flags]"); !ok {
		return code
	}
	if err := checkServe(fs.Args(), cfg, t); err != nil {
		say(c.stderr, "wattkeel serve: %v\n", err)
		return exitBroken
	}
	cfg.Document, cfg.Pages = openapi.JSON(), pages()
	cfg.Logger = slog.New(slog.NewTextHandler(c.stderr, nil))
	server := api.New(cfg)
	var lc net.ListenConfig
	listener, err := lc.Listen(ctx, "tcp", *listen)
	if err != nil {
		say(c.stderr, "wattkeel serve: %s\n", listenTrouble(*listen, err))
		return exitNo
	}
	cfg.Logger.InfoContext(ctx, "ready", "listen", listener.Addr().String(), "version", spec.ServiceVersion)
	if err := server.Serve(ctx, listener, t); err != nil {
		say(c.stderr, "wattkeel serve: %v\n", err)
		return exitNo
	}
	return exitOK
}

func checkServe(args []string, cfg api.Config, t api.Timeouts) error {
	const shortest = time.Millisecond
	switch {
	case len(args) > 0:
		return fmt.Errorf("unexpected argument %q", args[0])
	case cfg.BodyLimit < 1:
		return errors.New("--body-limit must be 1 or more")
	case cfg.MaxInFlight < 1:
		return errors.New("--max-in-flight must be 1 or more")
	case cfg.MaxQueue < 1:
		return errors.New("--max-queue must be 1 or more")
	case cfg.QueueWait < shortest || t.Read < shortest || t.Write < shortest || t.Grace < shortest:
		return errors.New("--queue-wait, --read-timeout, --write-timeout and --grace must be 1ms or more")
	case t.Drain < 0:
		return errors.New("--drain must be 0 or more")
	}
	return nil
}

// listenTrouble says why an address cannot be listened on and what to do.
func listenTrouble(address string, err error) string {
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return fmt.Sprintf("%s is already in use; stop the program that listens there, or choose another address with --listen, for example --listen 127.0.0.1:0 for any free port", address)
	case errors.Is(err, syscall.EACCES):
		return fmt.Sprintf("not allowed to listen on %s; choose a port above 1023 with --listen", address)
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		return fmt.Sprintf("%s is not an address of this machine; choose another with --listen", address)
	}
	return fmt.Sprintf("cannot listen on %q: %v; give --listen as HOST:PORT, for example --listen 127.0.0.1:8080", address, err)
}
