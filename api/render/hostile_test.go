package render

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

func anyText(t *rapid.T, label string) string {
	return rapid.OneOf(rapid.String(), rapid.StringOf(rapid.SampledFrom([]rune("a 1\n\r\x1b[;m\u202e\u2028-*_`<&漢é"))), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) })).Draw(t, label)
}

// No text of an answer comes from the request as it is, but for the words of the
// contract. Should one ever, it can do no harm.
func TestAPlanFullOfHostileTexts(t *testing.T) {
	pl := charge.NewPlanner(cell.NewTable(), rule.All())
	good := ask[charge.Request](t, "testdata/charge/recovery.json")
	rapid.Check(t, func(t *rapid.T) {
		p := pl.Plan(good)
		some := anyText(t, "text")
		p.Findings = []spec.Finding{{Rule: some, Severity: spec.Stop, Message: some, Remedy: some}, {Severity: spec.Severity(some)}}
		p.Steps, p.Cautions = []string{some, "x"}, []string{some, some}
		p.Assumed = []spec.Assumed{{Field: some, Value: some}, {Field: "/" + some + "/1/" + some, Value: true}}
		p.NotEvaluated = []spec.NotEvaluated{{Rule: some, Missing: []string{some, "/" + some}}}
		p.Settings.Chemistry, p.Settings.Program = spec.Chemistry(some), spec.Program(some)
		p.Limits[0].Because, p.Duration.Drivers[0].Measure = some, some
		p.Phases[0].Kind, p.Start.From = charge.PhaseKind(some), spec.StartFrom(some)
		p.PlanID, p.Versions.Service = some, some
		p.Verdict = rapid.SampledFrom([]spec.Verdict{spec.VerdictClear, spec.VerdictCaution, spec.VerdictStop}).Draw(t, "verdict")
		text, err := ChargePlanText(p)
		require.NoError(t, err)
		clean(t, string(text))
		assert.True(t, strings.HasPrefix(string(text), strings.ToUpper(string(p.Verdict))+": "))
	})
}

// An answer with nothing in it is laid out too.
func TestAnEmptyAnswer(t *testing.T) {
	text, err := ChargePlanText(&charge.Plan{})
	require.NoError(t, err)
	assert.Contains(t, string(text), "do not charge")
}

func BenchmarkChargePlanText(b *testing.B) {
	pl := charge.NewPlanner(cell.NewTable(), rule.All())
	for _, name := range []string{"clear", "recovery", "many-stops"} {
		p := pl.Plan(ask[charge.Request](b, "testdata/charge/"+name+".json"))
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := ChargePlanText(p); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
