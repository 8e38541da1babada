// The live parts of the pages. Every page is complete without them.
import "./countdown.js";
import "./enter.js";
import "./fill.js";
import "./filter.js";
import "./job-search.js";
import "./live.js";
import "./profile.js";
