package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// vendored says which files are another's, of which release.
type vendored struct {
	Package, Version string
	SHA256           map[string]string
}

func readVendored(t *testing.T) vendored {
	t.Helper()
	text, err := os.ReadFile("try/vendored.json")
	require.NoError(t, err)
	var v vendored
	require.NoError(t, json.Unmarshal(text, &v))
	require.GreaterOrEqual(t, len(v.SHA256), 5)
	return v
}

func sum(body []byte) string {
	s := sha256.Sum256(body)
	return hex.EncodeToString(s[:])
}

func TestVendoredFilesAreWhatTheyAreSaidToBe(t *testing.T) {
	for name, want := range readVendored(t).SHA256 {
		body, err := os.ReadFile(filepath.Join("try", name))
		require.NoError(t, err)
		assert.Equal(t, want, sum(body), name)
		assert.NotEqual(t, want, sum(append(body, ' ')), "%s: a change must be noticed", name)
	}
}

func TestVendoredFilesAreThoseOfThePackage(t *testing.T) {
	v := readVendored(t)
	dir := filepath.Join("../../.ci/npm/node_modules", v.Package)
	text, err := os.ReadFile(filepath.Join(dir, "package.json"))
	if err != nil && os.Getenv("CI") != "true" {
		t.Skipf("%s is not installed: run npm ci --ignore-scripts in .ci/npm", v.Package)
	}
	require.NoError(t, err)
	var installed struct{ Version string }
	require.NoError(t, json.Unmarshal(text, &installed))
	assert.Equal(t, v.Version, installed.Version)
	for name, want := range v.SHA256 {
		body, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		assert.Equal(t, want, sum(body), name)
	}
}

func TestEveryFileIsServedOnce(t *testing.T) {
	served, paths := map[string]int{}, map[string]bool{}
	for _, p := range Pages() {
		assert.False(t, paths[p.Path], p.Path)
		paths[p.Path] = true
		require.NotEmpty(t, p.Body, p.Path)
		assert.Contains(t, p.Policy, "default-src 'none'", p.Path)
		assert.NotContains(t, p.Policy, "unsafe", p.Path)
		served[sum(p.Body)]++
	}
	require.NoError(t, fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || name == "try/vendored.json" {
			return err
		}
		body, err := files.ReadFile(name)
		assert.Equal(t, 1, served[sum(body)], name)
		return err
	}))
}

// What a page loads is served, and by this server.
func TestPagesLoadOnlyWhatIsServed(t *testing.T) {
	loads := regexp.MustCompile(`<(?:link|script|img)\b[^>]*\b(?:href|src)="([^"]*)"`)
	served := map[string]bool{}
	for _, p := range Pages() {
		served[p.Path] = true
	}
	for _, p := range Pages() {
		if p.MediaType != "text/html" {
			continue
		}
		found := loads.FindAllSubmatch(p.Body, -1)
		require.NotEmpty(t, found, p.Path)
		for _, m := range found {
			assert.True(t, served[string(m[1])], "%s loads %s", p.Path, m[1])
		}
	}
}

func TestTheReferenceHasNoScriptAndItsLinksLead(t *testing.T) {
	body := string(Pages()[0].Body)
	assert.NotContains(t, body, "<script")
	assert.NotContains(t, body, "style=")
	assert.Empty(t, deadLinks(body))
	assert.Equal(t, []string{"b"}, deadLinks(`<p id="a"><a href="#a"></a><a href="#b"></a>`), "a dead link must be noticed")
	ids := regexp.MustCompile(` id="([^"]*)"`).FindAllStringSubmatch(body, -1)
	seen := map[string]bool{}
	for _, m := range ids {
		assert.False(t, seen[m[1]], "the id %s is given twice", m[1])
		seen[m[1]] = true
	}
	require.Greater(t, len(ids), 300)
}

func deadLinks(body string) (dead []string) {
	for _, m := range regexp.MustCompile(`href="#([^"]*)"`).FindAllStringSubmatch(body, -1) {
		if !strings.Contains(body, `id="`+m[1]+`"`) {
			dead = append(dead, m[1])
		}
	}
	return dead
}

func TestTheConsoleAsksNobodyElse(t *testing.T) {
	init, err := files.ReadFile("try/init.js")
	require.NoError(t, err)
	assert.True(t, bytes.Contains(init, []byte("validatorUrl: null")))
	assert.NotContains(t, string(init), "//validator")
	assert.NotContains(t, string(init), "http")
}
