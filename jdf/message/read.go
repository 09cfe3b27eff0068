package message

import (
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
)

func moment(n jdf.Node, name string, fault func(job.Fault)) job.Fact[value.DateTime] {
	return job.Parsed(n, name, value.ParseDateTime, fault)
}

func double(n jdf.Node, name string, fault func(job.Fault)) job.Fact[float64] {
	return job.Parsed(n, name, value.ParseDouble, fault)
}

func truth(n jdf.Node, name string, fault func(job.Fault)) job.Fact[bool] {
	return job.Parsed(n, name, value.ParseBoolean, fault)
}

func whole(n jdf.Node, name string, fault func(job.Fault)) job.Fact[int] {
	i := job.Parsed(n, name, value.ParseInteger, fault)
	return job.Fact[int]{Value: int(i.Value), Place: i.Place, Given: i.Given}
}
