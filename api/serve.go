package api

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"
)

// Timeouts bound what a connection may take, and how the service stops.
type Timeouts struct {
	// ReadHeader is how long a request's header may take to arrive.
	ReadHeader time.Duration
	// Read is how long a whole request may take to arrive.
	Read time.Duration
	// Write is how long a request may take from its header to the end of its answer.
	Write time.Duration
	// Idle is how long a connection is kept without a request.
	Idle time.Duration
	// Drain is how long requests are still taken after /readyz has turned 503.
	Drain time.Duration
	// Grace is how long requests that are being worked on may take to end after that.
	Grace time.Duration
}

// DefaultTimeouts are the timeouts of a service behind a proxy or on a desk.
func DefaultTimeouts() Timeouts {
	return Timeouts{
		ReadHeader: 2 * time.Second,
		Read:       5 * time.Second,
		Write:      10 * time.Second,
		Idle:       60 * time.Second,
		Grace:      15 * time.Second,
	}
}

// Serve answers requests on the listener until ctx is done, and then stops
// without cutting an answer short.
func (s *Server) Serve(ctx context.Context, listener net.Listener, t Timeouts) error {
	server := &http.Server{
		Handler:           s.Handler(),
		ReadHeaderTimeout: t.ReadHeader,
		ReadTimeout:       t.Read,
		WriteTimeout:      t.Write,
		IdleTimeout:       t.Idle,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          slog.NewLogLogger(s.cfg.Logger.Handler(), slog.LevelWarn),
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	select {
	case err := <-ended:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	s.Drain()
	if err := pause(t.Drain, ended); err != nil {
		return err
	}
	// Serve returns as soon as Shutdown is called. It is Shutdown that has to
	// be waited for, or the process ends under its last answers.
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), t.Grace)
	defer cancel()
	err := server.Shutdown(grace)
	if err != nil {
		err = fmt.Errorf("requests were still being worked on after %s: %w", t.Grace, err)
		_ = server.Close() // what is left could not be ended in time
	}
	<-ended
	return err
}

func pause(d time.Duration, ended <-chan error) error {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case err := <-ended:
		return fmt.Errorf("serve: %w", err)
	case <-timer.C:
		return nil
	}
}
