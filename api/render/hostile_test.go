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
	"github.com/wattkeel/wattkeel/service/runtime"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/storage"
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

func TestAnEstimateFullOfHostileTexts(t *testing.T) {
	good := runtime.NewEstimator(cell.NewTable(), rule.All()).Estimate(ask[runtime.Request](t, "testdata/runtime/tug.json"))
	rapid.Check(t, func(t *rapid.T) {
		e := *good
		some := anyText(t, "text")
		e.Findings = []spec.Finding{{Rule: some, Severity: spec.Stop, Message: some, Remedy: some}}
		e.Cautions, e.StoppedBy, e.Start.From = []string{some, some}, runtime.StoppedBy(some), spec.StartFrom(some)
		e.Runtime.Drivers = []spec.Driver{{Measure: some}}
		e.Verdict = rapid.SampledFrom([]spec.Verdict{spec.VerdictClear, spec.VerdictCaution, spec.VerdictStop}).Draw(t, "verdict")
		text, err := RuntimeEstimateText(&e)
		require.NoError(t, err)
		clean(t, string(text))
	})
}

func TestAStoragePlanFullOfHostileTexts(t *testing.T) {
	planner := storage.NewPlanner(cell.NewTable(), rule.All(), charge.NewPlanner(cell.NewTable(), rule.All()))
	for _, file := range []string{"discharge", "least"} { // one with settings, one with other ways
		q := ask[storage.Request](t, "testdata/storage/"+file+".json")
		rapid.Check(t, func(t *rapid.T) {
			a := planner.Plan(q)
			some := anyText(t, "text")
			a.Because, a.Action, a.Start.From = some, storage.Action(some), spec.StartFrom(some)
			a.Findings = []spec.Finding{{Rule: some, Severity: spec.Caution, Message: some, Remedy: some}}
			a.Cautions, a.Steps, a.Ageing.Says = []string{some, some}, []string{some}, some
			for i := range a.Alternatives {
				a.Alternatives[i].Says = some
				if r := a.Alternatives[i].Resistor; r != nil {
					r.Cautions = []string{some}
				}
			}
			for i := range a.Phases {
				a.Phases[i].Kind = storage.PhaseKind(some)
			}
			for i := range a.Limits {
				a.Limits[i].Because = some
			}
			if a.Settings != nil {
				a.Settings.Program, a.Settings.Chemistry = storage.Program(some), spec.Chemistry(some)
			}
			a.Verdict = rapid.SampledFrom([]spec.Verdict{spec.VerdictClear, spec.VerdictCaution, spec.VerdictStop}).Draw(t, "verdict")
			text, err := StoragePlanText(a)
			require.NoError(t, err)
			clean(t, string(text))
		})
	}
}

// An answer with nothing in it is laid out too.
func TestAnEmptyAnswer(t *testing.T) {
	text, err := ChargePlanText(&charge.Plan{})
	require.NoError(t, err)
	assert.Contains(t, string(text), "do not charge")
	text, err = RuntimeEstimateText(&runtime.Estimate{})
	require.NoError(t, err)
	assert.Contains(t, string(text), "does not run this load")
	text, err = StoragePlanText(&storage.Plan{})
	require.NoError(t, err)
	assert.Contains(t, string(text), "How far")
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

func BenchmarkRuntimeEstimateText(b *testing.B) {
	e := runtime.NewEstimator(cell.NewTable(), rule.All()).Estimate(ask[runtime.Request](b, "testdata/runtime/hydroplane.json"))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := RuntimeEstimateText(e); err != nil {
			b.Fatal(err)
		}
	}
}
