package conformance

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the corpus of the fuzz targets instead of looking whether it is there")

// book is what there is in the rows of the rules that a corpus needs.
type book struct {
	Bases map[string]any
	Rows  []struct {
		Name, Rule, Question, Expect, Base string
		Change                             any
	}
}

func loadBook(t *testing.T) *book {
	t.Helper()
	text, err := os.ReadFile("../rules/rows.json")
	require.NoError(t, err)
	var b book
	require.NoError(t, json.Unmarshal(text, &b))
	return &b
}

// asked is a row as it is sent.
func (b *book) asked(t *testing.T, i int) (path string, body []byte) {
	t.Helper()
	r := b.Rows[i]
	document := any(node{})
	if r.Base != "" {
		document = b.Bases[r.Base]
	}
	if r.Change != nil {
		document = mergePatch(document, r.Change)
	}
	body, err := json.Marshal(document)
	require.NoError(t, err)
	for path, q := range questions() {
		if q.row == r.Question {
			return path, body
		}
	}
	require.FailNow(t, "no such question", r.Question)
	return "", nil
}

// The document and the service agree on every row: the rules' own requests are
// let through by both.
func TestTheRowsOfTheRulesAgree(t *testing.T) {
	b := loadBook(t)
	require.Greater(t, len(b.Rows), 600)
	for i := range b.Rows {
		path, body := b.asked(t, i)
		status, answer := postJSON(t, path, body)
		assert.Equal(t, 200, status, b.Rows[i].Name)
		assert.NoError(t, checker().Agree(path, body, status, answer), b.Rows[i].Name)
	}
}

// badBodies go to every endpoint that takes a body.
func badBodies() []string {
	const pack = `{"chemistry":"lipo","cells_series":3,"capacity_mah":2200}`
	return []string{
		"", " ", "{}", "[]", "null", "3", "{", `{"pack":null}`, `{"pack":` + pack + `}{}`, `{"pack":` + pack + `,"pack":` + pack + `}`,
		`{"pack":{"cells_series":1e999}}`, `{"pack":{"cells_series":3.0,"capacity_mah":2.2e3,"chemistry":"lipo"}}`, `{"pack":{"capacity_mah":1e-400,"cells_series":3,"chemistry":"lipo"}}`,
		"\ufeff{}", "{\"\xff\":1}", `{"pack":{"id":"\ud800"}}`, `{"pack":{"id":"\u0000"}}`, strings.Repeat("[", 17), `{"a~/b":1,"":2,"__proto__":{}}`,
		`{"pack":{"chemistry":"","cells_series":-0,"capacity_mah":"2200","made_on":"","condition":["swollen","swollen"]}}`,
	}
}

// labelBodies are labels as they are sent: read, contradicted, hostile, and at
// the limits of their length.
func labelBodies() []string {
	return []string{
		`{"text":"LiPo 3S 2200mAh 11.1V 30C/60C"}`, `{"text":"LiPo 11.1V 4S 1500mAh 2200mAh 50Wh 60C/30C"}`, `{"text":"2\u2009200 mAh \uff13\uff33 Li\u2011Po"}`,
		`{"text":""}`, `{"text":" "}`, `{"text":null}`, `{"text":3}`, `{"text":"a","label":"b"}`, `{"text":"\ud83d\udd0b 30C"}`, `{"text":"\u0000"}`,
		`{"text":"` + strings.Repeat("\u00e9", 2000) + `"}`, `{"text":"` + strings.Repeat("3S ", 667) + `"}`, `{"text":"` + strings.Repeat("9", 2000) + `mAh"}`,
	}
}

// storedSeeds are packs to put away, as changes of the sound request.
func storedSeeds() map[string]string {
	return map[string]string{
		"full":    `{"idle_days":60,"charger":{"max_discharge_current_a":1,"max_discharge_power_w":8}}`,
		"apart":   `{"pack":{"cell_voltages_v":[4.1,4.15,4.18]},"charger":{"max_discharge_current_a":1,"max_discharge_power_w":8},"curve_points":5}`,
		"empty":   `{"pack":{"cell_voltages_v":[3.5,3.5,3.5]}}`,
		"no-way":  `{"charger":null,"load":{"kind":"constant_power","power_w":50}}`,
		"a-cycle": `{"charger":null,"load":{"kind":"cycle","segments":[{"duration_s":1,"current_a":20},{"duration_s":2,"power_w":30}]}}`,
		"for-now": `{"idle_days":3}`,
	}
}

func quoted(values ...any) string {
	text := "go test fuzz v1\n"
	for _, v := range values {
		switch v := v.(type) {
		case []byte:
			text += fmt.Sprintf("[]byte(%q)\n", v)
		case string:
			text += fmt.Sprintf("string(%q)\n", v)
		}
	}
	return text
}

// corpus is every seed by its file.
func corpus(t *testing.T) map[string]string {
	files := map[string]string{}
	add := func(target, name string, values ...any) { files[target+"/"+name] = quoted(values...) }
	b, done := loadBook(t), map[string]bool{}
	for i, r := range b.Rows {
		path, body := b.asked(t, i)
		target := questions()[path].target
		if r.Expect == "fires" && !done[r.Rule] {
			done[r.Rule] = true
			add(target, r.Rule, body, "", "")
		}
	}
	for name, change := range storedSeeds() {
		add("FuzzStoragePlan", name, changed(t, stores, change), "", "")
	}
	add("FuzzStoragePlan", "trace", changed(t, stores, `{}`), "trace=full", "application/json")
	for path, q := range questions() {
		for i, body := range badBodies() {
			add(q.target, fmt.Sprintf("bad-%02d", i), []byte(body), "", "")
		}
		add(q.target, "sound", changed(t, path, `{}`), "", "")
	}
	for i, body := range labelBodies() {
		add("FuzzLabelReading", fmt.Sprintf("label-%02d", i), []byte(body), "", "")
	}
	add("FuzzChargePlan", "trace", changed(t, plans, `{}`), "trace=full", "application/json")
	add("FuzzChargePlan", "query", changed(t, plans, `{}`), "trace=full&trase=%zz", "")
	add("FuzzChargePlan", "accept", changed(t, plans, `{}`), "", "text/html;q=0.8, */*;q=0.1")
	add("FuzzStoragePlan", "text", changed(t, stores, `{"idle_days":60}`), "", "text/plain")
	add("FuzzRuntimeEstimate", "text", changed(t, runs, `{"session_min":90}`), "", "text/plain")
	add("FuzzChargePlan", "text", changed(t, plans, `{"pack":{"condition":["swollen"]}}`), "", "text/plain")
	add("FuzzChargePlan", "text-traced", changed(t, plans, `{}`), "trace=full", "text/plain, application/json;q=0.5")
	for target, names := range map[string][]string{
		"FuzzRule": {"unattended", "unatended", "a/b", "%2F", "\x00"}, "FuzzChemistry": {"lipo", "LiPo", ""}, "FuzzProblem": {"not-found", "not-fund", ".."},
	} {
		for i, name := range names {
			add(target, fmt.Sprint(i), name, "", "", "")
		}
		add(target, "query", names[0], "page=2", "*/*", "*")
	}
	for _, target := range []string{"FuzzRules", "FuzzChemistries", "FuzzLiveness", "FuzzReadiness"} {
		add(target, "plain", "", "", "")
		add(target, "all", "verbose&x=%zz", "image/png;q=0, application/json", `W/"x", *`)
	}
	for i, x := range [][3]string{{"GET", "v1/rules", ""}, {"PUT", "v1/charge-plans", ""}, {"OPTIONS", "livez", "a=1"}, {"HEAD", "v1/rules/unattended", ""}, {"X", "/../etc", ""}, {"GET", "v1//rules/%00", ""}} {
		add("FuzzAnyRequest", fmt.Sprint(i), x[0], x[1], x[2], "tq-1")
	}
	return files
}

// What the fuzz targets begin with is on file. Findings of the fuzzer lie
// beside it.
func TestTheCorpusIsOnFile(t *testing.T) {
	files := corpus(t)
	require.Greater(t, len(files), 90)
	for name, text := range files {
		file := filepath.Join("testdata/fuzz", filepath.FromSlash(name))
		if *update {
			require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o750))
			require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
		}
		got, err := os.ReadFile(file)
		require.NoError(t, err, "run go test ./tests/conformance -run Corpus -update")
		require.Equal(t, text, string(got), "%s: run go test ./tests/conformance -run Corpus -update", name)
	}
}

func TestBadBodiesAreJudgedAlike(t *testing.T) {
	for _, body := range badBodies() {
		for _, path := range []string{plans, checks, stores, labels, moves} {
			status, answer := postJSON(t, path, []byte(body))
			assert.NoError(t, checker().Agree(path, []byte(body), status, answer))
		}
	}
}
