package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"time"
)

// health asks a running service whether it takes requests. A container image
// with nothing in it but the program can so be watched without a shell.
func health(ctx context.Context, c call) int {
	fs := newFlags("health")
	address := fs.String("url", "", "address to ask; left out, /readyz of the service that WATTKEEL_LISTEN names, or of the default address")
	timeout := fs.Duration("timeout", 2*time.Second, "longest wait for the answer")
	if code, ok := parse(fs, c, "[flags]"); !ok {
		return code
	}
	target, err := healthURL(*address, c.env(variable("listen")))
	switch {
	case err != nil:
	case fs.NArg() > 0:
		err = fmt.Errorf("unexpected argument %q", fs.Arg(0))
	case *timeout < time.Millisecond:
		err = errors.New("--timeout must be 1ms or more")
	}
	if err != nil {
		say(c.stderr, "wattkeel health: %v\n", err)
		return exitBroken
	}
	ctx, cancel := context.WithTimeout(ctx, *timeout)
	defer cancel()
	if err := ask(ctx, target); err != nil {
		say(c.stderr, "wattkeel health: %v\n", err)
		return exitNo
	}
	return exitOK
}

// healthURL is what to ask: the URL that was given, or else /readyz at the
// address that the service listens on. One that listens everywhere is asked on
// loopback.
func healthURL(given, listen string) (string, error) {
	if given != "" {
		u, err := url.Parse(given)
		if err != nil || (u.Scheme != "http" && u.Scheme != "https") || u.Host == "" {
			return "", fmt.Errorf("--url is %q; give a whole address, for example http://127.0.0.1:8080/readyz", given)
		}
		return given, nil
	}
	if listen == "" {
		listen = defaultListen
	}
	host, port, err := net.SplitHostPort(listen)
	if err != nil || port == "" || port == "0" {
		return "", fmt.Errorf("WATTKEEL_LISTEN is %q, which does not say where the service is; give --url, for example http://127.0.0.1:8080/readyz", listen)
	}
	if ip := net.ParseIP(host); host == "" || ip.IsUnspecified() {
		host = "127.0.0.1"
		if ip != nil && ip.To4() == nil {
			host = "::1"
		}
	}
	return "http://" + net.JoinHostPort(host, port) + "/readyz", nil
}

func ask(ctx context.Context, target string) error {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, target, http.NoBody)
	if err != nil {
		return err
	}
	// Neither a proxy nor another address may answer for the service.
	client := &http.Client{
		Transport:     &http.Transport{DisableKeepAlives: true},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
	res, err := client.Do(r)
	if err != nil {
		return err
	}
	_ = res.Body.Close() // the status says it all
	if res.StatusCode != http.StatusOK {
		return fmt.Errorf("%s answers %s", target, res.Status)
	}
	return nil
}
