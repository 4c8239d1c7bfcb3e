package api

import (
	"context"
	"time"
)

// gate bounds how many requests are worked on at once, and how many wait for
// a turn. A request beyond both is refused at once, which keeps the answers to
// the others fast.
type gate struct {
	slots, queue chan struct{}
	patience     time.Duration
}

func newGate(slots, queue int, patience time.Duration) *gate {
	return &gate{slots: make(chan struct{}, slots), queue: make(chan struct{}, queue), patience: patience}
}

// enter takes a slot, to be given back with leave.
func (g *gate) enter(ctx context.Context) error {
	select {
	case g.slots <- struct{}{}:
		return nil
	default:
	}
	select {
	case g.queue <- struct{}{}:
	default:
		return &overloadedError{}
	}
	defer func() { <-g.queue }()
	timer := time.NewTimer(g.patience)
	defer timer.Stop()
	select {
	case g.slots <- struct{}{}:
		return nil
	case <-timer.C:
		return &overloadedError{}
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (g *gate) leave() { <-g.slots }

// full reports whether a request that came now would be refused.
func (g *gate) full() bool { return len(g.slots) == cap(g.slots) && len(g.queue) == cap(g.queue) }
