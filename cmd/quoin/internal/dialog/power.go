package dialog

import (
	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf/message"
)

// shutDown lets the house run empty: the queue takes no more entries, and those in it
// are worked off. Works refuses who may not close the queue. The process itself is
// ended by who runs it, never by a message.
//
// Source: both schemas, ShutDownCmdParams: StandBy, which JMF has as the default, and Full.
func (x *exchange) shutDown(c call) compose.Reply {
	p := c.Node.Child("ShutDownCmdParams")
	if !p.Valid() {
		return missing("ShutDownCmdParams")
	}
	if kind := p.Get("ShutDownType"); kind != "" && kind != "StandBy" {
		return refused(Refuse(message.InvalidParameters, "ShutDownType is %q, and the service is ended by who runs it, not "+
			"by a message; send StandBy to have the queue closed and worked off", kind))
	}
	if p.Child("FlushQueueParams").Valid() {
		return refused(Refuse(message.InvalidParameters, "ShutDownCmdParams has FlushQueueParams, and a queue that shuts "+
			"down is worked off; send FlushQueue for what is to be taken out of it"))
	}
	return x.done(c, x.Works.Control(c.ctx, c.from, queue.CloseQueue))
}

// wakeUp opens the queue that a shutDown has closed.
func (x *exchange) wakeUp(c call) compose.Reply {
	return x.done(c, x.Works.Control(c.ctx, c.from, queue.OpenQueue))
}
