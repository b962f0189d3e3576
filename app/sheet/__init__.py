"""The sheet on paper: laid out in millimetres, painted on pages, written as PDF, read back from one."""
