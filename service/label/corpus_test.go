package label_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/label"
	"github.com/wattkeel/wattkeel/service/rule"
)

// The packs, contradictions and what is missing were written by hand; only the
// pieces are written by -update, and were then read over.
var update = flag.Bool("update", false, "write the pieces of the corpus anew")

// row is one invented label with its complete reading.
type row struct {
	Text           string          `json:"text"`
	Pack           json.RawMessage `json:"pack"`
	Contradictions []label.Kind    `json:"contradictions"`
	Missing        []string        `json:"missing"`
	Read           []piece         `json:"read"`
	Unread         []string        `json:"unread"`
}

// piece is one value with the text it came from.
type piece struct {
	Field string    `json:"field"`
	Value any       `json:"value"`
	Text  string    `json:"text"`
	How   label.How `json:"how"`
	In    bool      `json:"in_pack"`
}

func reader() *label.Reader { return label.NewReader(cell.NewTable(), rule.All()) }

const corpusFile = "testdata/labels.json"

func corpus(t testing.TB) []row {
	t.Helper()
	text, err := os.ReadFile(corpusFile)
	require.NoError(t, err)
	var rows []row
	require.NoError(t, json.Unmarshal(text, &rows))
	return rows
}

func asRow(t testing.TB, text string, a *label.Answer) row {
	t.Helper()
	pack, err := json.Marshal(a.Pack)
	require.NoError(t, err)
	r := row{Text: text, Pack: pack, Contradictions: []label.Kind{}, Missing: []string{}, Read: []piece{}, Unread: []string{}}
	for _, c := range a.Contradictions {
		r.Contradictions = append(r.Contradictions, c.Kind)
	}
	for _, m := range a.Missing {
		r.Missing = append(r.Missing, m.Field)
	}
	for _, x := range a.Read {
		r.Read = append(r.Read, piece{x.Field, x.Value, x.Text, x.How, x.InPack})
	}
	for _, x := range a.Unread {
		r.Unread = append(r.Unread, x.Text)
	}
	return r
}

func TestEveryLabelOfTheCorpusIsReadCompletely(t *testing.T) {
	rows := corpus(t)
	r := reader()
	refused, contradicted, unread := 0, 0, 0
	for i := range rows {
		a := r.Read(&label.Request{Text: rows[i].Text})
		got := asRow(t, rows[i].Text, a)
		if *update {
			rows[i].Read, rows[i].Unread = got.Read, got.Unread
		}
		want, err := json.Marshal(rows[i])
		require.NoError(t, err)
		have, err := json.Marshal(got)
		require.NoError(t, err)
		assert.JSONEq(t, string(want), string(have), "%q", rows[i].Text)
		if len(got.Contradictions) > 0 {
			contradicted++
		}
		if len(got.Missing) > 0 {
			refused++
		}
		if len(got.Unread) > 0 {
			unread++
		}
	}
	assert.GreaterOrEqual(t, len(rows)-refused, 80, "labels that are read")
	assert.GreaterOrEqual(t, contradicted, 20, "labels that contradict themselves")
	assert.GreaterOrEqual(t, refused, 20, "labels that say too little")
	assert.GreaterOrEqual(t, unread, 10, "labels with pieces that could not be read")
	if *update {
		write(t, rows)
	}
}

func write(t *testing.T, rows []row) {
	t.Helper()
	out := bytes.NewBufferString("[\n")
	for i := range rows {
		text := new(bytes.Buffer)
		e := json.NewEncoder(text)
		e.SetEscapeHTML(false)
		require.NoError(t, e.Encode(rows[i]))
		out.Write(bytes.TrimSpace(text.Bytes()))
		if i+1 < len(rows) {
			out.WriteByte(',')
		}
		out.WriteByte('\n')
	}
	out.WriteString("]\n")
	require.NoError(t, os.WriteFile(corpusFile, out.Bytes(), 0o600))
}

// Working memory is shared between readings: nothing of it may stand in an
// answer, whoever reads next.
func TestAnAnswerStaysAsItIsWhileOthersAreRead(t *testing.T) {
	rows := corpus(t)
	r := reader()
	written := func(a *label.Answer) string {
		text, err := json.Marshal(a)
		assert.NoError(t, err)
		return string(text)
	}
	var readers sync.WaitGroup
	for n := range 4 {
		readers.Go(func() {
			answers, first := make([]*label.Answer, len(rows)), make([]string, len(rows))
			for i := range rows {
				k := (i + n*len(rows)/4) % len(rows)
				answers[k] = r.Read(&label.Request{Text: rows[k].Text})
				first[k] = written(answers[k])
			}
			for i := range rows {
				assert.Equal(t, first[i], written(answers[i]), "%q", rows[i].Text)
				assert.Equal(t, first[i], written(reader().Read(&label.Request{Text: rows[i].Text})), "%q", rows[i].Text)
			}
		})
	}
	readers.Wait()
}

// asserter is what testing.TB and rapid.T have in common here.
type asserter interface {
	require.TestingT
	Helper()
}

// Every piece is where the answer says it is.
func sound(t asserter, text string, a *label.Answer) {
	t.Helper()
	runes := []rune(text)
	at := func(piece string, start, end int) {
		require.True(t, 0 <= start && start < end && end <= len(runes), "%d to %d of %d", start, end, len(runes))
		require.Equal(t, string(runes[start:end]), piece)
	}
	for _, x := range a.Read {
		at(x.Text, x.Start, x.End)
	}
	for _, x := range a.Unread {
		at(x.Text, x.Start, x.End)
		require.NotEmpty(t, x.Why)
	}
	for _, c := range a.Contradictions {
		require.NotEmpty(t, c.Message)
		require.NotEmpty(t, c.Check)
		require.NotEmpty(t, c.Pieces, c.Message)
		for _, x := range c.Pieces {
			at(x.Text, x.Start, x.End)
		}
	}
	if c := a.Pack.MaxChargeCRate; c != nil {
		const rounding = 1.05 // of a printed current against a printed rate
		for _, d := range []*float64{a.Pack.MaxDischargeCRate, a.Pack.BurstDischargeCRate} {
			require.False(t, d != nil && *c > *d*rounding, "%q: charged at %v, and not discharged so fast", text, *c)
		}
	}
	require.LessOrEqual(t, len(a.Read), 64)
	require.LessOrEqual(t, len(a.Unread), 64)
	require.LessOrEqual(t, len(a.Contradictions), 32)
	required := map[string]bool{"/pack/chemistry": a.Pack.Chemistry != "", "/pack/cells_series": a.Pack.CellsSeries != nil, "/pack/capacity_mah": a.Pack.CapacityMAh != nil}
	for _, m := range a.Missing {
		require.False(t, required[m.Field], "%s is missing and there", m.Field)
		require.NotEmpty(t, m.LookFor)
		required[m.Field] = true
	}
	for f, there := range required {
		require.True(t, there, "%s is neither read nor missing", f)
	}
}

func FuzzLabel(f *testing.F) {
	for _, r := range corpus(f) {
		f.Add(r.Text)
	}
	r := reader()
	f.Fuzz(func(t *testing.T, text string) {
		if len([]rune(text)) > 2000 {
			t.Skip("refused before anybody reads it")
		}
		a := r.Read(&label.Request{Text: text})
		sound(t, text, a)
		again, err := json.Marshal(r.Read(&label.Request{Text: text}))
		require.NoError(t, err)
		first, err := json.Marshal(a)
		require.NoError(t, err)
		require.Equal(t, string(first), string(again), "same text, same answer")
	})
}
