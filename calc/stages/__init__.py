"""The job, stage by stage: one module a stage with its facts and calculators; its drawings stand beside it as
`<stage>_drawings`.
"""
