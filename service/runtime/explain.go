package runtime

import (
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

func (w *work) explain(judge *rule.Judge) []spec.TraceNode { return nil }
