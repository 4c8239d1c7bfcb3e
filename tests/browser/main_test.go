//go:build browser

// Package browser opens the pages in Chromium, as a person would.
package browser

import (
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/audits"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/api/web"
	"github.com/wattkeel/wattkeel/openapi"
)

const (
	chromium = "/usr/bin/chromium"
	axeFile  = "../../.ci/npm/node_modules/axe-core/axe.min.js"
	// longest is how long a page may take, on a machine that is busy.
	longest = 90 * time.Second
)

// need skips where the machine lacks a file, and fails where CI runs.
func need(t *testing.T, file, remedy string) {
	t.Helper()
	if _, err := os.Stat(file); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is missing: %s", file, remedy)
		}
		t.Skipf("%s is missing: %s", file, remedy)
	}
}

// serve starts the service with its pages, and with those that are given.
func serve(t *testing.T, more ...api.Page) string {
	t.Helper()
	cfg := api.Config{Document: openapi.JSON(), Pages: more}
	for _, p := range web.Pages() {
		cfg.Pages = append(cfg.Pages, api.Page(p))
	}
	s := httptest.NewServer(api.New(cfg).Handler())
	t.Cleanup(s.Close)
	return s.URL
}

// browser starts Chromium. It asks nobody for anything of its own accord.
func browser(t *testing.T) context.Context {
	t.Helper()
	need(t, chromium, "run apt-get update && apt-get install -y chromium")
	need(t, axeFile, "run npm ci --ignore-scripts in .ci/npm")
	// The allocator makes a folder of its own for the browser, and removes it once
	// the browser has ended; a folder of the test would be removed under it.
	options := append(
		chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(chromium), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("no-first-run", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
	)
	allocator, stop := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(stop)
	ctx, closeBrowser := chromedp.NewContext(allocator)
	t.Cleanup(closeBrowser)
	require.NoError(t, chromedp.Run(ctx))
	return ctx
}

// view is how a page is looked at.
type view struct {
	width   int64
	dark    bool
	scripts bool
}

// visit is one page in one tab, with what it asked for.
type visit struct {
	ctx    context.Context
	origin string
	mu     sync.Mutex
	asked  []string
	csp    []string
}

// open opens a page in a tab of its own.
func open(t *testing.T, browser context.Context, origin, path string, v view) *visit {
	t.Helper()
	tab, closeTab := chromedp.NewContext(browser)
	t.Cleanup(closeTab)
	ctx, stop := context.WithTimeout(tab, longest)
	t.Cleanup(stop)
	out := &visit{ctx: ctx, origin: origin}
	chromedp.ListenTarget(ctx, out.note)
	scheme := "light"
	if v.dark {
		scheme = "dark"
	}
	require.NoError(t, chromedp.Run(
		ctx, network.Enable(), audits.Enable(),
		chromedp.EmulateViewport(v.width, 900),
		emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}),
		emulation.SetScriptExecutionDisabled(!v.scripts),
		chromedp.Navigate(origin+path),
	))
	return out
}

func (v *visit) note(event any) {
	v.mu.Lock()
	defer v.mu.Unlock()
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		v.asked = append(v.asked, e.Request.URL)
	case *audits.EventIssueAdded:
		if d := e.Issue.Details.ContentSecurityPolicyIssueDetails; d != nil {
			v.csp = append(v.csp, d.ViolatedDirective+" "+d.BlockedURL)
		}
	}
}

// elsewhere lists the requests that went to another server, and the
// violations of the page's policy.
func (v *visit) elsewhere() (away, violations []string) {
	v.mu.Lock()
	defer v.mu.Unlock()
	for _, url := range v.asked {
		if !strings.HasPrefix(url, v.origin+"/") && !strings.HasPrefix(url, "data:") {
			away = append(away, url)
		}
	}
	return away, append([]string(nil), v.csp...)
}

// eval works out an expression in the page.
func (v *visit) eval(t *testing.T, expression string, out any) {
	t.Helper()
	require.NoError(t, chromedp.Run(v.ctx, chromedp.Evaluate(expression, out, func(p *runtime.EvaluateParams) *runtime.EvaluateParams {
		return p.WithAwaitPromise(true)
	})), expression)
}

// axe lists what the accessibility rules find. The page is as it was drawn,
// without scripts; only then may they run, because the rules are a script.
func (v *visit) axe(t *testing.T) []string {
	t.Helper()
	script, err := os.ReadFile(axeFile)
	require.NoError(t, err)
	require.NoError(t, chromedp.Run(v.ctx, emulation.SetScriptExecutionDisabled(false), chromedp.Evaluate(string(script), nil)))
	var text string
	v.eval(t, `axe.run(document, {preload: false, runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]})
		.then(r => JSON.stringify(r.violations.map(v => v.id + " (" + v.nodes.length + "): " + v.nodes.slice(0, 20).map(n => n.target + " " + n.any.concat(n.all, n.none).map(c => c.message)).join("; "))))`, &text)
	var found []string
	require.NoError(t, json.Unmarshal([]byte(text), &found))
	return found
}

// picture keeps what was seen, where WATTKEEL_PICTURES names a folder for it.
func (v *visit) picture(t *testing.T, name string, action func(context.Context) ([]byte, error)) {
	t.Helper()
	var body []byte
	require.NoError(t, chromedp.Run(v.ctx, chromedp.ActionFunc(func(ctx context.Context) (err error) {
		body, err = action(ctx)
		return err
	})))
	require.NotEmpty(t, body)
	if dir := os.Getenv("WATTKEEL_PICTURES"); dir != "" {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), body, 0o600))
	}
}

// status asks the service itself, outside the browser.
func status(t *testing.T, url string) int {
	t.Helper()
	res, err := http.Get(url)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	return res.StatusCode
}
