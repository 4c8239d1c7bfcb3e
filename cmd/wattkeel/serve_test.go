package main

import (
	"bufio"
	"context"
	"io"
	"net"
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// service is a running "wattkeel serve".
type service struct {
	url   string
	stop  context.CancelFunc
	lines *bufio.Scanner
	code  chan int
}

func startService(t *testing.T, env func(string) string, args ...string) *service {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	stderr, w := io.Pipe()
	s := &service{stop: stop, lines: bufio.NewScanner(stderr), code: make(chan int, 1)}
	go func() {
		s.code <- run(ctx, append([]string{"serve"}, args...), env, strings.NewReader(""), io.Discard, w)
		_ = w.Close()
	}()
	t.Cleanup(stop)
	require.True(t, s.lines.Scan(), "no line when ready")
	ready := s.lines.Text()
	require.Contains(t, ready, "msg=ready")
	address := regexp.MustCompile(`listen=(\S+)`).FindStringSubmatch(ready)
	require.Len(t, address, 2, ready)
	s.url = "http://" + address[1]
	return s
}

// end stops the service and checks that it says no more.
func (s *service) end(t *testing.T) {
	t.Helper()
	s.stop()
	for s.lines.Scan() {
		assert.Fail(t, "one line more than needed", s.lines.Text())
	}
	select {
	case code := <-s.code:
		assert.Equal(t, exitOK, code)
	case <-time.After(10 * time.Second):
		require.Fail(t, "the service did not stop")
	}
}

func TestServeAnswersUntilItIsTold(t *testing.T) {
	s := startService(t, noEnvironment, "--listen", "127.0.0.1:0")
	client := &http.Client{Transport: contract(t).Transport(t, &http.Transport{})}
	defer client.CloseIdleConnections()
	res, err := client.Get(s.url + "/livez")
	require.NoError(t, err)
	assert.Equal(t, http.StatusOK, res.StatusCode)
	require.NoError(t, res.Body.Close())
	res, err = client.Post(s.url+"/v1/charge-plans", "application/json", strings.NewReader(goodPlan))
	require.NoError(t, err)
	assert.Equal(t, http.StatusOK, res.StatusCode)
	require.NoError(t, res.Body.Close())
	s.end(t)
	_, err = client.Get(s.url + "/livez")
	assert.Error(t, err)
}

func TestServeTakesItsAddressFromTheEnvironment(t *testing.T) {
	env := func(name string) string { return map[string]string{"WATTKEEL_LISTEN": "localhost:0"}[name] }
	startService(t, env).end(t)
}

func TestServeSaysThatThePortIsInUse(t *testing.T) {
	var lc net.ListenConfig
	taken, err := lc.Listen(t.Context(), "tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer func() { _ = taken.Close() }()
	r := program(t, "", "serve", "--listen", taken.Addr().String())
	assert.Equal(t, exitNo, r.code)
	assert.Contains(t, r.stderr, taken.Addr().String()+" is already in use; stop the program that listens there, or choose another address with --listen")
	assert.Equal(t, 1, strings.Count(r.stderr, "\n"))
}

func TestServeSaysThatAnAddressIsNotItsOwn(t *testing.T) {
	// RFC 5737: 192.0.2.0/24 is for documentation, and no machine's own.
	r := program(t, "", "serve", "--listen", "192.0.2.1:8080")
	assert.Equal(t, exitNo, r.code)
	assert.Contains(t, r.stderr, "not an address of this machine")
}
