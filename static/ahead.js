// The first thing that runs: the journal is opened and read while the other modules are still on their way.
import { begin } from "./journal.js";

begin();
