package property

import (
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/api/render"
	"github.com/wattkeel/wattkeel/service/spec"
)

// widest is how many columns a line of text may have.
const widest = 76

// legible holds any text that people read against what terminals, mails and
// chats take: lines of UTF-8, none too wide, nothing unseen in them.
func legible(t *rapid.T, text string) {
	assert.True(t, utf8.ValidString(text))
	assert.True(t, strings.HasSuffix(text, "\n") && !strings.HasSuffix(text, "\n\n"), "ends in one newline")
	assert.NotContains(t, text, "\n\n\n")
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		assert.LessOrEqual(t, utf8.RuneCountInString(line), widest, "%q", line)
		assert.Equal(t, strings.TrimRight(line, " "), line)
		assert.False(t, strings.HasPrefix(line, "    "), "Markdown would show it as code: %q", line)
		for _, r := range line {
			assert.True(t, r == ' ' || unicode.IsGraphic(r) && !unicode.IsSpace(r), "%U in %q", r, line)
		}
	}
}

// joined is a text as one line, so that it can be searched.
func joined(text string) string { return strings.Join(strings.Fields(text), " ") }

func contains(t *rapid.T, text string, sentences ...string) {
	for _, s := range sentences {
		require.Contains(t, text, joined(s))
	}
}

// told holds what was found against a text: each finding under the word of its
// severity, with what to do, the worst first.
func told(t *rapid.T, text string, verdict spec.Verdict, findings []spec.Finding) {
	assert.True(t, strings.HasPrefix(text, strings.ToUpper(string(verdict))+": "), "begins with the verdict")
	at := 0
	for _, f := range findings {
		word := strings.ToUpper(string(f.Severity[:1])) + string(f.Severity[1:])
		i := strings.Index(text[at:], joined("- "+word+": "+f.Message))
		require.GreaterOrEqual(t, i, 0, "%s", f.Message)
		at += i
		contains(t, text[at:], "What to do: "+f.Remedy, "(Rule "+f.Rule+")")
	}
	contains(t, text, "supersede")
}

func TestTheTextOfOnePlan(t *testing.T) {
	t.Parallel()
	pl, v := planner(), spec.NewValidator()
	rapid.Check(t, func(t *rapid.T) {
		q := drawRequest(t)
		if len(v.Validate(q)) > 0 {
			t.Skip("not a valid request")
		}
		p := pl.Plan(q)
		out, err := render.ChargePlanText(p)
		require.NoError(t, err)
		legible(t, string(out))
		text := joined(string(out))
		told(t, text, p.Verdict, p.Findings)
		contains(t, text, p.PlanID)
		if p.Verdict == spec.VerdictStop {
			nothingToSet(t, text, p.Findings)
			return
		}
		contains(t, text, p.Cautions...)
		contains(t, text, p.Steps...)
		if *p.ChargeMAh == 0 {
			assert.NotContains(t, text, "- Current: ", "there is nothing to charge")
			return
		}
		current := "- Current: "
		if r := p.Settings.RecoveryCurrentA; r != nil {
			contains(t, text, "- Current to begin with: "+spec.Plain(*r)+" A")
			current = "- Current after that: "
		}
		contains(t, text, current+spec.Plain(p.Settings.CurrentA)+" A",
			"- Charge cut-off: "+spec.Plain(p.Settings.ChargeCutoffMAh)+" mAh", "- Time limit: "+spec.Plain(p.Settings.TimeLimitMin)+" min")
		if u := p.Settings.EndVoltageV; u != nil {
			contains(t, text, spec.Plain(*u)+" V")
		}
		for _, l := range p.Limits {
			contains(t, text, l.Because)
		}
	})
}

// nothingToSet holds that a text has nothing to copy onto a charger: beside what
// was found, no number with a unit of a setting.
func nothingToSet(t *rapid.T, text string, findings []spec.Finding) {
	for _, f := range findings {
		text = strings.ReplaceAll(text, joined(f.Message), "")
		text = strings.ReplaceAll(text, joined(f.Remedy), "")
	}
	assert.NotRegexp(t, regexp.MustCompile(`\d (A|V|mV|C|mAh|min|h|W)\b`), text)
	for _, word := range []string{"Settings", "Current", "cut-off", "Step by step"} {
		assert.NotContains(t, text, word)
	}
}

func TestTheTextOfOneRun(t *testing.T) {
	t.Parallel()
	e, v := runner(), spec.NewValidator()
	rapid.Check(t, func(t *rapid.T) {
		a := e.Estimate(asked(t, v))
		out, err := render.RuntimeEstimateText(a)
		require.NoError(t, err)
		legible(t, string(out))
		text := joined(string(out))
		told(t, text, a.Verdict, a.Findings)
		contains(t, text, a.Cautions...)
		contains(t, text, a.PlanID, " C) at its peak.")
		if a.PacksFor != nil {
			contains(t, text, "- Packs for the session: "+strconv.Itoa(*a.PacksFor)+", each charged once")
		}
		if a.AlarmCellVoltageV != nil {
			contains(t, text, "- Low-voltage alarm: about "+spec.Short(*a.AlarmCellVoltageV)+" V a cell")
		}
	})
}

func TestTheTextOfOneStorage(t *testing.T) {
	t.Parallel()
	pl, v := storer(), spec.NewValidator()
	rapid.Check(t, func(t *rapid.T) {
		q := drawStored(t)
		if len(v.Validate(q)) > 0 {
			t.Skip("not a valid request")
		}
		a := pl.Plan(q)
		out, err := render.StoragePlanText(a)
		require.NoError(t, err)
		legible(t, string(out))
		text := joined(string(out))
		told(t, text, a.Verdict, a.Findings)
		contains(t, text, a.PlanID)
		if a.Verdict == spec.VerdictStop {
			nothingToSet(t, text, a.Findings)
			return
		}
		contains(t, text, a.Because)
		contains(t, text, a.Cautions...)
		contains(t, text, a.Steps...)
		for _, w := range a.Alternatives {
			contains(t, text, w.Says)
			if w.Resistor != nil {
				contains(t, text, w.Resistor.Cautions...)
			}
		}
		if a.Settings == nil {
			assert.NotContains(t, text, "Settings")
			return
		}
		set := spec.Plain(a.Settings.CurrentA) + " A ("
		if m := a.Settings.MaxCurrentA; m != nil {
			set = spec.Plain(*m) + " A; the charger holds"
		}
		contains(t, text, set,
			"- Charge cut-off: "+spec.Plain(a.Settings.ChargeCutoffMAh)+" mAh", "- Time limit: "+spec.Plain(a.Settings.TimeLimitMin)+" min")
		for _, l := range a.Limits {
			contains(t, text, l.Because)
		}
	})
}
