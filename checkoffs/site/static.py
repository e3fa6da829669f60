"""Static files with the digest in their names, also inside import statements of ES modules."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedModules(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Names carry digests, so browsers may keep files for ever; modules import each other by hashed names."""

    support_js_module_import_aggregation = True
    manifest_strict = True
