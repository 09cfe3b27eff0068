// Package packages checks what tickets travel in and what they refer to. It
// goes into MIME and ZIP packages, checks each ticket and message inside with
// an Engine under a name such as order.zip!job.xjdf, and holds the parts
// against one another: whether every URL leads to a part, every part is asked
// for, and every file is what the ticket says of it. For a PDF that is at hand
// it compares the pages and page boxes with the job.
//
// URLs are resolved inside the package, or inside the folders that the options
// allow, and nowhere else. Nothing is fetched, and nothing is written to disk.
package packages
